"""Outlets lowered or raised: to their usual height, above what heel and waves reach."""

import math
from pathlib import Path

import pytest

from loop.check import check
from loop.check.discharge_fixes import usual_height
from loop.job import Boat, parse_job, read_toml
from loop.parts import Discharge
from loop.words import Finding
from loop.words.actions import LowerOutlet, RaiseOutlet
from loop.words.hazards import AFLOAT, OUT, anywhere, hazard
from loop.words.said import say
from loop.words.speaker import Speaker
from tests.loops import changed, codes, found, job_of

GUILLEMOT = Path(__file__).parent.parent / "examples" / "guillemot.toml"
INCH = 0.0254
# Twelve inches off the centerline at 30° are six lower; half a wave of 8 in is four, and people
# stepping aboard are two.
LIES = [
    (Boat(), 6),
    (Boat(heel=math.radians(30)), 8),
    (Boat(wave_height=8 * INCH), 6),
    (Boat(heel=math.radians(30), wave_height=8 * INCH), 10),
    (Boat(heel=math.radians(30), wave_height=9 * INCH), 11),
    # A light boat floats higher, and its outlets with it.
    (Boat(heel=math.radians(30), light_rise=4 * INCH), 8),
]


@pytest.mark.parametrize(("boat", "inches"), LIES)
def test_an_outlet_is_usually_six_inches_over_the_water_and_dry_in_waves(
    boat: Boat, inches: int
) -> None:
    outlet = Discharge(kind="discharge", height=2.0, off_centre=12 * INCH)
    assert usual_height(outlet, boat, "us") == pytest.approx(inches * INCH)


def test_in_a_job_in_si_units_it_is_in_whole_centimetres() -> None:
    outlet = Discharge(kind="discharge", height=2.0, off_centre=12 * INCH)
    assert usual_height(outlet, Boat(), "si") == 0.15
    assert usual_height(outlet, Boat(heel=math.radians(31)), "si") == 0.21


@pytest.mark.parametrize("height", ["40 in", "60 in"])
def test_one_that_is_too_high_goes_there_and_nowhere_between(height: str) -> None:
    """The pump lifts too much: both heights starve the unit, or nearly."""
    job = job_of((10, "length", "10 ft"), (10, "to", height), (11, "height", height))
    finding = check(job).findings[0]
    assert finding.code in ("flow-short", "flow-marginal")
    lowered = [one for one in finding.actions if isinstance(one, LowerOutlet)]
    assert [one.height for one in lowered] == [pytest.approx(6 * INCH)]


def high(height: str, **boat: str) -> list[Finding]:
    """Findings for an outlet 40 in off the centerline: at 30° of heel it is 20 in lower."""
    job = job_of(
        (10, "to", height),
        (11, "height", height),
        (11, "off_centre", "40 in"),
        *(("boat", name, value) for name, value in boat.items()),
    )
    found = check(job).findings
    for one in found:
        for action in one.actions if one.code.startswith("discharge-") else ():
            codes = {new.code for new in check(action.apply(job)).findings}
            assert not codes & {"seacock-missing", "discharge-high", "discharge-under-water"}
    return [one for one in found if one.code.startswith("discharge-")]


@pytest.mark.parametrize("height", ["24 in", "-4 in"])
def test_an_outlet_out_of_place_is_told_the_height_at_which_heel_leaves_it_dry(height: str) -> None:
    (found,) = high(height, heel="30 deg")
    (action,) = found.actions
    assert isinstance(action, LowerOutlet | RaiseOutlet)
    assert found.values["right"] == action.height == pytest.approx(22 * INCH)


def test_one_where_heel_calls_for_it_is_not_high() -> None:
    assert not high("22 in", heel="30 deg")
    assert not high("24 in", heel="30 deg", wave_height="8 in")
    (found,) = high("20 in")
    assert found.values["right"] == pytest.approx(6 * INCH)


def test_a_lower_outlet_and_one_hose_come_before_a_pump() -> None:
    """When neither is enough: an outlet high above the water at the end of corrugated hose."""
    table = read_toml(GUILLEMOT, "job")
    hoses = [part for part in table["part"] if part["kind"] == "hose"]
    hoses += [
        part for way in table["part"][8]["branch"] for part in way["part"] if part["kind"] == "hose"
    ]
    for hose in hoses:
        hose["lining"] = "ribbed"
    table["part"][-2] |= {"to": "40 in", "length": "8 ft"}
    table["part"][-1]["height"] = "40 in"
    result = check(parse_job(table))
    action = found(result, "flow-marginal")[0].actions[0]
    assert [step.kind for step in action.steps] == ["lower-outlet", "change-hose"]
    assert check(action.apply(result.job), fixes=False).verdict == "good"
    for step in action.steps:
        units = check(step.apply(result.job), fixes=False).condensers
        assert any(unit.flow_low < unit.needed_flow for unit in units)


def test_an_outlet_is_lowered_with_the_same_hazard_by_action_and_by_advice() -> None:
    """The cure of too little flow is no cure of the note on the same outlet, which is advice."""
    job = job_of((10, "length", "12 ft"), (10, "to", "9 ft"), (11, "height", "9 ft"))
    result = check(job)
    (high,) = found(result, "discharge-high")
    assert not high.actions
    (short,) = found(result, "flow-short")
    lower = short.actions[0]
    assert isinstance(lower, LowerOutlet)
    first = hazard(lower, Speaker(job))
    assert AFLOAT in first
    assert f"; {first}lower it" in say(high, job).fix


def test_several_outlets_are_lowered_afloat_only_where_the_sea_stays_out() -> None:
    speaker = Speaker(job_of())
    blank = [anywhere("{holes}lower them", speaker, height=height) for height in (0.3, 0.01, None)]
    assert [AFLOAT in one["holes"] for one in blank] == [True, False, False]
    assert blank[1]["holes"] == OUT


def test_an_outlet_is_raised_though_it_takes_water_of_a_unit_that_then_has_enough_for_sure() -> (
    None
):
    """Five feet up its siphon may fail: much flow, with a wide band. Raised, less but certain."""
    data = changed(
        ("condenser", "cooling", "9000 BTU/h"),
        (1, "height", "-36 in"),
        (8, "to", "5 ft"),
        (10, "length", "10 ft"),
        (10, "to", "-30 in"),
        (11, "height", "-30 in"),
    )
    data["part"].insert(10, {"kind": "seacock"})
    result = check(parse_job(data))
    (unit,) = result.condensers
    assert unit.flow > unit.needed_flow > unit.flow_low
    (action,) = found(result, "discharge-under-water")[0].actions
    assert isinstance(action, RaiseOutlet)
    after = check(action.apply(result.job))
    assert after.verdict == "good"
    assert after.condensers[0].flow < 0.98 * unit.flow


def test_a_raised_outlet_that_leaves_too_little_water_comes_with_what_gives_it() -> None:
    data = changed(
        ("condenser", "flow_needed", "210 gal/h"), (10, "to", "-4 in"), (11, "height", "-4 in")
    )
    data["part"].insert(10, {"kind": "seacock"})
    job = parse_job(data)
    assert codes(check(RaiseOutlet("part[12]", 6 * INCH).apply(job))) >= {"flow-marginal"}
    result = check(job)
    (under,) = found(result, "discharge-under-water")
    assert [one.kind for one in under.actions[0].steps] == ["raise-outlet", "change-hose"]
    assert check(under.actions[0].apply(job)).verdict == "good"
