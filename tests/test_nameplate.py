"""Pumps as people know them: a nameplate, heads given as pressure, three points."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from loop.check import check
from loop.hydraulics import solve
from loop.job import Job
from loop.pumps import Nameplate, PumpCurve, catalogue, head_of, load_pump, pump_problems
from loop.pumps.nameplate import EFFICIENCY
from loop.units import UnitError, parse
from tests.loops import job_of
from tests.test_pumps import FILE, made

GRAVITY = 9.80665


def plated(**nameplate: str) -> PumpCurve:
    data = {**FILE, "curve": {"nameplate": nameplate}}
    return PumpCurve.model_validate(data, context={"text": True})


def test_the_curve_runs_from_the_most_head_to_the_most_flow() -> None:
    pump = plated(flow="250 gal/h", head="9 ft")
    assert pump.nameplate
    assert pump.shutoff_head == pytest.approx(9 * 0.3048)
    assert pump.last_flow == pytest.approx(parse("250 gal/h", "flow"))
    assert float(pump.head(pump.last_flow)) == pytest.approx(0, abs=1e-12)
    assert not load_pump("demo-ac-350").nameplate


def test_between_them_it_is_the_textbooks_parabola() -> None:
    # Çengel & Cimbala, pump-matching exercise: H = H0 − a Q², H0 7.46 m, a 0.0453 m/(L/min)².
    most = (7.46 / 0.0453) ** 0.5
    pump = plated(flow=f"{most} L/min", head="7.46 m")
    for flow in (2.0, 7.43, 10.0):
        expected = 7.46 - 0.0453 * flow**2
        assert float(pump.head(flow / 60_000)) == pytest.approx(expected, abs=0.001 * 7.46)


@given(st.floats(5, 1500), st.floats(2, 40), st.floats(5, 500))
def test_every_nameplate_makes_a_falling_curve(flow: float, head: float, power: float) -> None:
    for given_ in ({"flow": flow, "head": head}, {"flow": flow, "power": power},
                   {"head": head, "power": power}):  # fmt: skip
        texts = {"flow": "gal/h", "head": "ft", "power": "W"}
        pump = plated(**{name: f"{value!r} {texts[name]}" for name, value in given_.items()})
        heads = pump.head(np.linspace(0, pump.last_flow, 50))
        assert np.all(np.diff(heads) < 0)
        assert heads[-1] == pytest.approx(0, abs=1e-12)


@given(st.floats(150, 1500), st.floats(10, 500))
def test_what_the_plate_leaves_out_follows_from_its_power(flow: float, power: float) -> None:
    pump = plated(flow=f"{flow!r} gal/h", power=f"{power!r} W")
    flows = np.linspace(0, pump.last_flow, 2001)
    fresh = 1000 * GRAVITY * flows * pump.head(flows)
    assert fresh.max() == pytest.approx(EFFICIENCY * power, rel=2e-3)
    back = plated(head=f"{pump.shutoff_head!r} m", power=f"{power!r} W")
    assert back.last_flow == pytest.approx(pump.last_flow)
    assert (Nameplate(flow=1e-4, power=50.0).estimated, back.curve.nameplate.estimated) == (  # type: ignore[union-attr]
        "head",
        "flow",
    )


def test_power_rises_to_that_of_the_plate() -> None:
    pump = plated(flow="250 gal/h", head="9 ft", power="40 W")
    powers = pump.power(np.linspace(0, pump.last_flow, 20))
    assert powers[-1] == pytest.approx(40)
    assert np.all(np.diff(powers) > 0)
    assert np.isnan(plated(flow="250 gal/h", head="9 ft").power(0.0))


@pytest.mark.parametrize(
    ("nameplate", "why"),
    [
        ({"flow": "250 gal/h"}, "a nameplate needs flow and head"),
        ({"power": "40 W"}, "a nameplate needs flow and head"),
        ({}, "a nameplate needs flow and head"),
        ({"flow": "250 gal/h", "head": "9 W"}, "head: unit 'W' does not fit here; units that fit"),
        ({"flow": "250 gal/h", "head": "0 ft"}, "out of range"),
        ({"flow": "250 gal/h", "head": 9}, "9 needs a unit"),
        ({"flow": "250 gal/h", "haed": "9 ft"}, "did you mean 'head'"),
    ],
)
def test_a_plate_that_says_too_little_is_refused(nameplate: dict[str, Any], why: str) -> None:
    with pytest.raises(ValidationError) as refused:
        plated(**nameplate)
    lines = pump_problems(refused.value)
    assert any(why in line for line in lines), lines


def test_heads_may_be_pressures_of_the_fresh_water_that_the_maker_tested_with() -> None:
    # 2.31 ft of fresh water a psi (the trade's round figure).
    assert head_of("1 psi") / 0.3048 == pytest.approx(2.31, abs=0.005)
    with pytest.raises(UnitError, match="units that fit: ft, m, psi"):
        head_of("3 gal")
    rows = {"unit": "psi", "values": [5.2, 4.8, 3.5, 0.9]}
    assert made(head=rows).shutoff_head == pytest.approx(5.2 * 6894.757 / (1000 * GRAVITY))


@pytest.mark.parametrize("name", catalogue())
def test_three_points_of_a_curve_come_near_the_whole(name: str) -> None:
    """Ends and middle: within the head tolerance of ISO 9906 grade 2B and a half."""
    pump = load_pump(name)
    flow, head = pump.points.flow, pump.points.head
    middle = len(flow) // 2 + 1
    rows = {
        "flow": {"unit": "m^3/s", "values": [flow[0], flow[middle], flow[-1]]},
        "head": {"unit": "m", "values": [head[0], head[middle], head[-1]]},
        "power": None,
        "npsh_required": None,
    }
    few = made(**rows)
    along = np.linspace(0, pump.last_flow, 60)
    assert np.abs(few.head(along) - pump.head(along)).max() < 0.075 * pump.shutoff_head


def test_pumps_of_the_same_file_are_equal_before_and_after_they_were_asked() -> None:
    one, other = made(), made()
    assert one == other
    assert one.shutoff_head == other.shutoff_head
    assert one == other
    assert made(head={"unit": "ft", "values": [12, 11, 8, 1]}) != one


def test_a_job_runs_on_a_nameplate_and_reads_back() -> None:
    job = job_of(
        (6, "curve", {**FILE, "curve": {"nameplate": {"flow": "350 gal/h", "head": "11.5 ft"}}})
    )
    result = check(job)
    assert result.point.settled
    assert 0 < result.pump.flow < parse("350 gal/h", "flow")
    assert Job.model_validate(job.model_dump(mode="json", exclude_defaults=True)) == job


def test_a_nameplate_has_a_wider_band_and_an_estimate_the_widest() -> None:
    plates = ({"flow": "350 gal/h", "head": "11.5 ft"}, {"flow": "350 gal/h", "power": "57 W"})
    jobs = [job_of(), *(job_of((6, "curve", {**FILE, "curve": {"nameplate": p}})) for p in plates)]
    widths = []
    for job in jobs:
        point = solve(job)
        widths.append((point.flow_high - point.flow_low) / point.flow)
    assert widths == sorted(widths)
    assert widths[0] < 0.95 * widths[1] < 0.9 * widths[2]
