"""Parts in the wrong position are moved: pump, condenser, bleed; or cannot be, between hulls."""

import math

import pytest

from loop.check import CheckResult, check
from loop.job import parse_job
from loop.words import Finding, hazards, say
from loop.words.actions import (
    FitPumpRated,
    LowerLine,
    MoveBleed,
    MovePart,
    MovePump,
    MoveStrainer,
    SetHeights,
)
from tests.loops import Table, changed, check_of, codes, plain_loop

INCH = 0.0254


def of(result: CheckResult, code: str) -> Finding:
    return next(one for one in result.findings if one.code == code)


def test_a_pump_that_heel_lifts_out_is_mounted_lower_with_the_strainer_before_it() -> None:
    """60 in off the centerline at 12°: 12.5 in, plus 2 in for its casing: 14.5 in, so 15 whole."""
    result = check_of(
        ("boat", "heel", "12 deg"), (6, "off_centre", "60 in"), (1, "height", "-18 in"),
        (11, "off_centre", "6 in"),
    )  # fmt: skip
    first = of(result, "pump-above-water").actions[0]
    assert 60 * math.sin(math.radians(12)) + 2 == pytest.approx(14.5, abs=0.1)
    assert first.steps == (
        MovePump("part[6]", pytest.approx(-15 * INCH)),
        MoveStrainer("part[4]", pytest.approx(-15 * INCH)),
    )
    assert check(first.apply(result.job)).verdict == "good"


def test_one_that_is_out_when_light_is_lowered_so_far_that_its_place_need_not_be_known() -> None:
    """1 in under, and 2 in higher when light; 10° at a foot off the centerline are 2 in more."""
    result = check_of(
        ("boat", "heel", "10 deg"), ("boat", "light_rise", "2 in"), (5, "to", "-1 in"),
        (3, "to", "-3 in"), (1, "height", "-22 in"), (3, "length", "3 ft"),
        (11, "off_centre", "6 in"),
    )  # fmt: skip
    first = of(result, "pump-above-water").actions[0]
    (mount,) = [step for step in first.steps if isinstance(step, MovePump)]
    assert mount.height == pytest.approx(-5 * INCH)
    assert check(first.apply(result.job)).verdict == "good"


def unit_before_pump() -> Table:
    """A unit above the water, placed in the suction."""
    data = plain_loop()
    unit = data["part"].pop(8)
    data["part"][5:5] = [
        {"kind": "hose", "length": "4 ft", "to": "6 in"},
        unit,
        {"kind": "hose", "length": "4 ft", "to": "-10 in"},
    ]
    return data


def test_a_unit_before_the_pump_goes_after_it_and_not_into_the_bilge() -> None:
    result = check(parse_job(unit_before_pump()))
    first = of(result, "suction-above-water").actions[0]
    (move,) = [step for step in first.steps if isinstance(step, MovePart)]
    assert move == MovePart("part[7]", "part[11]")
    after = check(first.apply(result.job))
    assert not {"suction-above-water", "part-order"} & codes(after)
    assert after.verdict == "good"


def test_one_bleed_before_the_pump_has_one_first_fix_whatever_is_found_of_it() -> None:
    data = plain_loop()
    bleed = data["part"].pop(6)
    data["part"].insert(5, bleed)
    result = check(parse_job(data))
    found = ("bleed-missing", "bleed-draws-air", "bleed-in-sag")
    firsts = {of(result, code).actions[0] for code in found if code in codes(result)}
    assert "bleed-missing" in codes(result)
    (move,) = firsts
    assert isinstance(move, MoveBleed)
    assert (move.part, move.to) == ("part[6]", "part[7]")
    assert not set(found) & codes(check(move.apply(result.job)))


@pytest.mark.parametrize(("pump", "hull"), [("-9 ft", True), ("9 ft", False), ("-1 ft", False)])
def test_no_hose_is_led_lower_between_two_hulls(pump: str, hull: bool) -> None:
    """In one hull, or in a hull's bilge, it is."""
    changes = [(3, "length", "20 ft"), (3, "via", [{"at": "10 ft", "height": "28 in"}])]
    result = check_of(*changes, (1, "off_centre", "9 ft"), (6, "off_centre", pump))
    finding = of(result, "suction-above-water")
    kinds = [type(step) for action in finding.actions for step in action.steps]
    assert (finding.values.get("case") == "across") == hull
    assert (kinds == [MovePart, FitPumpRated]) == hull
    if hull:  # the strainer is behind the crossing, and comes along
        after = check(finding.actions[0].apply(result.job), fixes=False)
        assert [part.kind for part in after.job.part[1:5]] == [
            "seacock",
            "strainer",
            "pump",
            "bleed",
        ]
        assert after.verdict == "good"
    assert (SetHeights in kinds) != hull


def test_a_pump_in_the_other_hull_comes_to_the_strainer_with_its_bleed() -> None:
    """It then pushes the water across: no hull is opened, and no pump bought."""
    changes = [(5, "length", "20 ft"), (5, "via", [{"at": "10 ft", "height": "28 in"}])]
    result = check_of(*changes, (1, "off_centre", "9 ft"), (6, "off_centre", "-9 ft"))
    finding = of(result, "suction-above-water")
    first = finding.actions[0]
    assert first == MovePart("part[6]", "part[4]", ("part[7]",), 108 * INCH)
    after = check(first.apply(result.job))
    kinds = [part.kind for part in after.job.part]
    assert kinds[3:7] == ["strainer", "pump", "bleed", "hose"]
    assert after.job.pump.off_centre == result.job.intake.off_centre
    assert after.verdict == "good"


@pytest.mark.parametrize(("height", "case"), [("2 in", "docked"), ("-1 in", "out")])
def test_an_intake_out_of_the_water_at_the_dock_is_not_put_down_to_heel(
    height: str, case: str
) -> None:
    finding = of(check(parse_job(_shallow(height))), "intake-shallow")
    assert finding.values["case"] == case
    above = finding.values.get("above")
    assert above == (pytest.approx(2 * INCH) if case == "docked" else None)


def _shallow(height: str) -> Table:
    heel = (("boat", "heel", "8 deg"), ("boat", "wave_height", "4 in"), (1, "off_centre", "12 in"))
    return changed((1, "height", height), (3, "length", "4 ft"), *heel)


def test_what_does_the_same_and_more_is_no_other_fix() -> None:
    """A unit so high that a small pump hardly primes: lower it does, with or without a bleed."""
    high = ((8, "length", "30 ft"), (8, "to", "11 ft"), (10, "length", "20 ft"))
    result = check_of(*high, ("condenser", "cooling", "2000 BTU/h"))
    short = of(result, "start-head-short")
    assert any(isinstance(step, LowerLine) for action in short.actions for step in action.steps)
    for finding in result.findings:
        for first, *others in [finding.actions] if finding.actions else []:
            assert not any(set(first.steps) < set(other.steps) for other in others)


def test_a_basket_is_rinsed_once_there_is_a_seacock_and_no_boat_is_hauled() -> None:
    data = plain_loop()
    for seacock in (True, False):
        loop = {
            **data,
            "part": [one for one in data["part"] if seacock or one["kind"] != "seacock"],
        }
        result = check(parse_job(loop))
        said = say(of(result, "strainer-margin"), result.job).fix
        assert (hazards.SEACOCK_FIRST in said) != seacock
        assert hazards.OUT not in said
