"""Pump files, the catalogue, and the affinity laws."""

import copy
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from loop.hydraulics import Cases, build
from loop.hydraulics.lines import pump_head
from loop.job import Job, JobError
from loop.parts import Pump
from loop.parts.pump import FASTEST, SLOWEST
from loop.pumps import (
    PumpCurve,
    UnknownPumpError,
    catalogue,
    load_pump,
    pump_problems,
    read_pump,
)
from loop.units import parse
from tests.loops import job_of

FILE: dict[str, Any] = {
    "name": "demo-test",
    "drive": "ac",
    "rated_supply": "115 V",
    "rated_frequency": "60 Hz",
    "port": "3/4 in",
    "curve": {
        "flow": {"unit": "gal/h", "values": [0, 100, 200, 300]},
        "head": {"unit": "ft", "values": [12, 11, 8, 2]},
    },
}


def made(**curve: Any) -> PumpCurve:
    """The plain pump with rows of its curve changed."""
    data = copy.deepcopy(FILE)
    data["curve"] |= curve
    return PumpCurve.model_validate(data, context={"text": True})


# The catalogue


@pytest.mark.parametrize("name", catalogue())
def test_every_pump_is_invented_and_falls(name: str) -> None:
    pump = load_pump(name)
    assert pump.name == name
    assert name.startswith("demo-")
    assert "not a real pump" in pump.note
    flow = np.linspace(0, pump.last_flow, 200)
    assert np.all(np.diff(pump.head(flow)) < 0)
    assert np.all(np.diff(pump.power(flow)) >= 0)
    assert np.all(np.diff(pump.npsh_required(flow)) >= 0)
    # No pump gives the water more than its electrical power, nor as much as half of it at this size
    # (common practice: small pumps with their motors reach about 10 to 40 %).
    hydraulic = 1025 * 9.80665 * flow * pump.head(flow)
    assert np.all(hydraulic < 0.5 * pump.power(flow))


def test_the_catalogue_spans_the_trade() -> None:
    pumps = [load_pump(name) for name in catalogue()]
    assert len(pumps) >= 13
    flows = [pump.last_flow for pump in pumps]
    assert min(flows) <= parse("160 gal/h", "flow")
    assert max(flows) >= parse("1500 gal/h", "flow") * (1 - 1e-9)
    assert {(p.drive, p.rated_supply, p.rated_frequency) for p in pumps} >= {
        ("ac", 115.0, 60.0),
        ("ac", 230.0, 50.0),
        ("dc", 12.0, None),
        ("dc", 24.0, None),
    }
    assert any(pump.self_priming for pump in pumps)


@pytest.mark.parametrize("name", ["Demo-AC-350", "DEMO-AC-350", " demo-ac-350 "])
def test_a_pump_is_found_whatever_the_case_of_its_name(name: str) -> None:
    assert load_pump(name) == load_pump("demo-ac-350")
    assert job_of((6, "curve", name)) == job_of()
    priced = job_of(("sizing", "price", {"pump": {name: 90, "My own": 50}})).sizing.price.pump
    assert priced == {"demo-ac-350": 90, "My own": 50}


def test_an_unknown_pump_is_told_with_the_nearest_names() -> None:
    with pytest.raises(UnknownPumpError, match=r"no pump 'demo-ac-35' .*demo-ac-350"):
        load_pump("demo-ac-35")
    with pytest.raises(UnknownPumpError, match=r"no pump 'DEMO-AC-35' .*demo-ac-350"):
        load_pump("DEMO-AC-35")


# Files of a user's own


def test_a_file_reads_as_its_text_says(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(
        'name = "own"\ndrive = "dc"\nrated_supply = "12 V"\nport = "3/4 in"\n[curve]\n'
        'flow = { unit = "L/min", values = [0, 10, 20, 30] }\n'
        'head = { unit = "m", values = [4, 3.5, 2.5, 1] }\n',
        encoding="utf-8",
    )
    pump = read_pump(path)
    assert pump.shutoff_head == 4.0
    assert float(pump.head(10 / 60_000)) == pytest.approx(3.5)
    assert np.isnan(pump.power(1e-4))
    assert np.isnan(pump.npsh_required(1e-4))


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        ({"flow": {"unit": "gal/h", "values": [False, 100, 200, 300]}}, "not false"),
        ({"flow": {"unit": "gal/h", "values": [0, 1]}}, "at least 3 points; this has 2"),
        ({"flow": {"unit": "gal/h", "values": [5, 100, 200, 300]}}, "the first flow must be 0"),
        ({"flow": {"unit": "gal/h", "values": [0, 200, 100, 300]}}, "flow must rise"),
        ({"head": {"unit": "ft", "values": [12, 13, 8, 2]}}, "head must fall"),
        ({"head": {"unit": "ft", "values": [12, 12, 8, 2]}}, "head must fall"),
        ({"head": {"unit": "ft", "values": [12, 11, 8]}}, "head has 3 values but flow has 4"),
        ({"head": {"unit": "W", "values": [12, 11, 8, 2]}}, "head: unit 'W' does not fit"),
        ({"head": None}, "head is missing; give flow and head, or a nameplate"),
        (
            {"nameplate": {"flow": "9 gal/h", "head": "9 ft"}},
            "head: a nameplate takes no",
        ),
        ({"head": {"unit": "ft", "values": [12, 11, 8, math.nan]}}, "finite number"),
        ({"head": {"unit": "ft", "values": [12, 11, 8, -2]}}, "zero or more"),
        ({"power": {"unit": "W", "values": [1, 2]}}, "power has 2 values"),
        ({"power": {"unit": "ft", "values": [1, 2, 3, 4]}}, "power: unit 'ft' does not fit"),
    ],
)
def test_a_curve_that_cannot_be_is_refused(rows: dict[str, Any], why: str) -> None:
    with pytest.raises(ValidationError) as refused:
        made(**rows)
    assert any(why in line for line in pump_problems(refused.value)), pump_problems(refused.value)


def test_drive_and_frequency_must_agree() -> None:
    for change in ({"rated_frequency": None}, {"drive": "dc"}):
        with pytest.raises(ValidationError, match="rated_frequency"):
            PumpCurve.model_validate({**FILE, **change})


def test_a_mistake_in_a_pump_file_hides_no_other() -> None:
    wrong = {"rated_frequency": None, "supply_range": (120.0, 130.0), "port": "3/4"}
    with pytest.raises(ValidationError) as refused:
        PumpCurve.model_validate({**FILE, **wrong})
    assert [line.partition(":")[0] for line in pump_problems(refused.value)] == [*wrong]


# The pump in a loop


def job_with(**pump: Any) -> Job:
    return job_of(*((6, key, value) for key, value in pump.items()))


@given(st.floats(0.35, 1.6), st.floats(0, 1))
def test_affinity_laws(speed: float, share: float) -> None:
    """Flow with speed, head with its square, anywhere on the curve."""
    network = build(job_of())
    curve = network.pump.curve
    flow = share * curve.last_flow
    head, _ = pump_head(network, Cases(speed=np.array([speed])), np.array([speed * flow]))
    assert head[0] == pytest.approx(speed**2 * float(curve.head(flow)))


def test_speed_follows_frequency_for_ac_and_voltage_for_dc() -> None:
    assert job_with(frequency="50 Hz").pump.speed == pytest.approx(50 / 60)
    assert job_with(supply="100 V").pump.speed == 1.0
    assert job_with(curve="demo-dc-320", supply="10 V").pump.speed == pytest.approx(10 / 12)
    with pytest.raises(ValueError, match="is a DC pump and has none"):
        job_with(curve="demo-dc-320", frequency="60 Hz")


def test_a_supply_far_off_the_rating_is_read_and_holds_the_speed_at_what_the_laws_bear() -> None:
    assert job_with(curve="demo-dc-320", supply="24 V").pump.speed == FASTEST
    assert job_with(curve="demo-dc-320", supply="1 V").pump.speed == SLOWEST
    assert job_with(frequency="200 Hz").pump.speed == FASTEST


@given(st.integers(1, 8), st.floats(0.05, 1))
def test_equal_pumps_share_the_flow_or_add_their_heads(count: int, share: float) -> None:
    curve = load_pump("demo-ac-350")
    flow = share * curve.last_flow
    one = float(curve.head(flow))
    for arrangement, at, expected in (
        ("parallel", count * flow, one),
        ("series", flow, count * one),
    ):
        group = Pump(curve=curve, count=count, arrangement=arrangement)
        network = build(job_with(count=count, arrangement=arrangement))
        assert network.pump.in_parallel == group.in_parallel
        assert pump_head(network, Cases(), np.array([at]))[0][0] == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (None, "No such file"),
        ("[[part]]\nkind = 'hose'\n", "part: "),
        ("name = own", "is not TOML"),
        ("name = 'own'\n", "drive: is missing"),
    ],
)
def test_what_is_no_pump_file_is_told_as_every_mistake_in_a_file_is(
    tmp_path: Path, text: str | None, why: str
) -> None:
    path = tmp_path / "own.toml"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    with pytest.raises(JobError) as refused:
        read_pump(path)
    assert all(line.startswith(str(path)) for line in refused.value.problems)
    assert any(why in line for line in refused.value.problems), refused.value.problems
