"""Values passed from code: numbers of every kind, quantities, mappings; and what is refused."""

import inspect
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest

import loop
from loop.job import Job, JobError
from loop.units import UnitError
from tests.command_line import EXAMPLES, KITTIWAKE

JOB = loop.read_job(KITTIWAKE)
UNITS = pint.UnitRegistry()
WATER = loop.Water(20)


@pytest.mark.parametrize(
    "value",
    [np.array(3.6576), np.float32(3.6576), np.float64(3.6576), 12 * UNITS.ft, "12 ft"],
    ids=["array", "float32", "float64", "quantity", "text"],
)
def test_a_number_is_taken_however_it_comes(value: Any) -> None:
    hose = JOB.replace({"part[8].length": value}).part[7]
    assert isinstance(hose, loop.Hose)
    assert hose.length == pytest.approx(3.6576, rel=1e-7)


@pytest.mark.parametrize(
    "points",
    [["-4 in", -0.1016 * UNITS.m], [np.array(-0.1016)] * 2, np.array([-0.1016, -0.1016])],
    ids=["mixed", "arrays of one", "array"],
)
def test_points_of_a_hose_are_quantities_and_numbers_too(points: Any) -> None:
    hose = JOB.replace({"part[8].via": points}).part[7]
    assert isinstance(hose, loop.Hose)
    assert [point.height for point in hose.via] == pytest.approx([-0.1016, -0.1016])


@pytest.mark.parametrize(
    ("changes", "parts"),
    [
        ({"part[4].blocked": 50}, ["a share of 1", "at most 0.999", '"50 %"']),
        ({"water.temperature": 293.15}, ["in degC", "at most 40", '"293.15 K"']),
        ({"water.temperature": 85}, ["in degC", '"85 degF"']),
        ({"part[8].sweeps": [90]}, ["in radians", "at most 3.142", '"90 deg"']),
        ({"part[8].bore": 12}, ["in m", "at most 0.5", '"12 in"']),
    ],
)
def test_a_bare_number_out_of_range_is_told_its_unit(
    changes: dict[str, Any], parts: list[str]
) -> None:
    with pytest.raises(JobError) as refused:
        JOB.replace(changes)
    assert all(part in str(refused.value) for part in parts)
    # What is offered is right.
    offer = str(refused.value).split('"')[-2]
    (address,) = changes
    JOB.replace({address: [offer] if address.endswith("sweeps") else offer})


def test_the_help_says_what_a_bare_number_is() -> None:
    said = inspect.getdoc(Job.replace) or ""
    assert all(word in said for word in ("°C", "radians", "SI"))


def test_a_baseline_takes_what_a_diagnosis_takes() -> None:
    read = {"flow": "210 gal/h", "sea_temperature": "78 degF", "outlet_temperature": "87 degF"}
    by_hand = loop.baseline(JOB, read, "2026-05-01")
    parsed = loop.diagnose(JOB, read).readings
    assert by_hand.job.fitted == loop.baseline(JOB, parsed, "2026-05-01").job.fitted


@pytest.mark.parametrize(
    "asked",
    [
        lambda: loop.boats(JOB, 0),
        lambda: loop.boats(JOB, 2.5),  # type: ignore[arg-type]
        lambda: loop.boats(JOB, 5, seed=-1),
        lambda: loop.size(JOB, draws=0),
        lambda: loop.size(JOB, seed=-1),
    ],
)
def test_counts_and_seeds_out_of_range_are_refused_alike(asked: Callable[[], object]) -> None:
    with pytest.raises(JobError):
        asked()


def test_counts_of_numerical_code_are_counts() -> None:
    assert len(loop.boats(JOB, np.int64(3)).head) == 3  # type: ignore[arg-type]
    # However narrow the seed that a script drew.
    flow = loop.boats(JOB, 20, 7).flow
    for whole in (np.int64, np.uint8):
        assert np.array_equal(loop.boats(JOB, whole(20), whole(7)).flow, flow)


def test_a_speed_is_checked_as_in_a_file() -> None:
    assert JOB.at_speed("6 knot") == JOB.replace({"boat.speed": "6 knot"})
    for speed in (-1.0, 1e9, float("nan"), "6 ft"):
        with pytest.raises(ValueError, match="speed"):
            JOB.at_speed(speed)


@pytest.mark.parametrize(
    "asked",
    [
        lambda units: loop.draw(JOB, "profile", units=units),
        lambda units: loop.sweep(JOB, {"pump": ["demo-ac-250"]}).to_csv(units),
        lambda units: JOB.to_toml(units),
    ],
    ids=["draw", "csv", "toml"],
)
def test_units_that_are_none_are_told_which_there_are(asked: Callable[[str], object]) -> None:
    with pytest.raises(UnitError, match="'imperial' is not known here; 'us' or 'si'"):
        asked("imperial")


PARTS = [one for one in JOB.part if one.kind != "pump"] + [
    loop.Elbow(bore=0.019),
    loop.read_job(EXAMPLES / "guillemot.toml").part[-1],
]


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.kind)
def test_a_loss_follows_the_flow_and_is_none_where_nothing_flows(part: Any) -> None:
    there = part.head_loss(2e-4, WATER)
    assert there > 0
    assert part.head_loss(0.0, WATER) == 0
    assert part.head_loss(-2e-4, WATER) == -there
    every = part.head_loss(np.array([2e-4, 0.0, -2e-4]), WATER)
    assert every.tolist() == pytest.approx([there, 0.0, -there], rel=1e-12)


def test_a_curve_of_one_flow_is_one_number() -> None:
    pump = loop.load_pump("demo-ac-350")
    for read in (pump.head, pump.power, pump.npsh_required):
        assert type(read(1e-4)) is float
        assert read(np.array([1e-4, 2e-4])).shape == (2,)
        assert read(np.array([1e-4]))[0] == pytest.approx(read(1e-4), nan_ok=True)


@pytest.mark.parametrize(
    ("address", "slip", "meant"),
    [
        ("part[8].bore", "3/4'", "3/4 in"),
        ("part[8].bore", "1 ft", "1 in"),
        ("part[8].bore", "3/4", "3/4 in"),
        ("water.temperature", "85°", "85 degF"),
        ("water.temperature", "20°", "20 degC"),
        ("part[4].blocked", "50", "50 %"),
    ],
)
def test_a_slip_that_can_mean_one_thing_only_is_told_it(
    address: str, slip: str, meant: str
) -> None:
    """A bore in feet is one in inches with a missing stroke: no boat hose is over 2 in wide."""
    with pytest.raises(JobError, match=re.escape(f'did you mean "{meant}"?')):
        JOB.replace({address: slip})
    JOB.replace({address: meant})


def test_wide_headers_and_small_bores_in_feet_are_bores() -> None:
    for text, inches in (("3 in", 3.0), ("0.0625 ft", 0.75)):
        hose = JOB.replace({"part[8].bore": text}).part[7]
        assert hose.bore == pytest.approx(inches * 0.0254)


@pytest.mark.parametrize("text", ["5' 6\"", "5 ft 6 in"])
def test_a_bore_in_feet_and_inches_is_out_of_range(text: str) -> None:
    with pytest.raises(JobError, match=re.escape(f"{text} is out of range; it must be at least")):
        JOB.replace({"part[8].bore": text})


def test_words_of_a_list_are_read_in_capitals() -> None:
    job = JOB.replace({"part[8].lining": "Smooth Plastic", "part[1].facing": "Forward"})
    again = loop.parse_toml(job.to_toml().replace('"forward"', '"FORWARD"'))
    assert again.intake.facing == "forward"
    assert isinstance(again.part[7], loop.Hose)
    assert again.part[7].lining == "smooth plastic"


def test_a_point_before_three_noughts_is_asked_about() -> None:
    with pytest.raises(JobError, match=r'write "12 BTU/h" or "12000 BTU/h"'):
        JOB.replace({"condenser[1].cooling": "12.000 BTU/h"})
