"""A hose run over frames or through lockers is rerouted lower before a pump is bought."""

from functools import cache

import pytest

from loop.check import CheckResult, check
from loop.job import Job, parse_job
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.words.actions import EvenHose, FitPumpRated, SetHeights
from tests.loops import changed, codes, found

INCH, FOOT = 0.0254, 0.3048


def over_frames(top: int, frames: int = 3) -> Job:
    """A 34 ft hose after the pump, over this many frames of a height [in], 4 in under between."""
    table = changed(
        ("water", "salinity", 35),
        (8, "length", "34 ft"),
        (8, "via", [f"{top} in", "-4 in"] * frames),
        (10, "to", "5 in"),
        (11, "height", "5 in"),
        (1, "height", "-18 in"),
        (1, "off_centre", "12 in"),
        (1, "facing", "forward"),
    )
    table["sizing"] = {"pumps": ["demo-ac-700"], "service_blocked": "0 %"}
    return parse_job(table)


@cache
def checked(top: int) -> CheckResult:
    return check(over_frames(top))


@pytest.mark.parametrize("top", [40, 36])
def test_a_hose_over_frames_is_led_lower_before_a_pump_is_bought(top: int) -> None:
    result = checked(top)
    finding = found(result, "flow-short" if result.point.flow > 0 else "no-flow")[0]
    action = finding.actions[0]
    assert isinstance(action, SetHeights)
    assert check(action.apply(result.job), fixes=False).verdict == "good"


def test_a_dip_behind_a_high_point_that_is_no_hose_is_taken_out() -> None:
    """The high point is an elbow at the height of the unit: the hose that dips after it is led."""
    table = changed((10, "length", "7 ft"))
    riser = {"kind": "hose", "length": "6 ft", "to": "30 in"}
    dipping = {**riser, "length": "16 ft", "via": ["-20 in"], "bore": "1-1/4 in"}
    table["part"][7:8] = [riser, {"kind": "elbow"}, dipping]
    result = check(parse_job(table))
    (finding,) = found(result, "flow-marginal")
    action = finding.actions[0]
    assert action == EvenHose("part[10]")
    assert check(action.apply(result.job), fixes=False).verdict == "good"


def test_check_and_size_lead_the_hose_alike() -> None:
    job = over_frames(36)
    least, _ = least_change(Rules(job))
    assert [change.action for change in least] == [found(checked(36), "flow-short")[0].actions[0]]


def test_where_air_keeps_the_water_still_the_air_is_named() -> None:
    """Head at no flow: the outlet's height, and every fall after a high point (May & others)."""
    result = checked(40)
    values = found(result, "no-flow")[0].values
    falls = (3 * 44 + 5) * INCH  # three frames, and from the unit down to the outlet
    assert values["case"] == "air"
    assert values["air"] == pytest.approx(falls)
    assert values["needed"] == pytest.approx(falls + 5 * INCH)
    assert float(str(values["needed"])) > float(str(values["shutoff"]))


def test_a_lift_over_the_shut_off_head_is_no_matter_of_air() -> None:
    job = parse_job(changed((8, "length", "20 ft"), (10, "to", "14 ft"), (10, "length", "15 ft"),
                            (11, "height", "14 ft")))  # fmt: skip
    values = found(check(job), "no-flow")[0].values
    assert "case" not in values
    assert values["lift"] == pytest.approx(14 * FOOT)


def test_air_behind_several_high_points_counts_together() -> None:
    values = found(checked(36), "flow-short")[0].values
    assert values["airs"] == 4
    assert values["highest"] == pytest.approx(36 * INCH)


@pytest.mark.parametrize("code", ["no-flow", "start-head-short"])
def test_over_many_frames_the_hose_is_led_evenly_and_no_pump_is_made_up(code: str) -> None:
    """Two dozen frames, 12 in each, hold 24 ft of head: lower over them, they hold nearly as much.

    A pump for that, 33 ft at the 207 gal/h that the unit takes, has a specific speed under 10.
    """
    frames = [
        {"at": f"{1.5 * place + 1.5} ft", "height": "2 in" if place % 2 else "14 in"}
        for place in range(48)
    ]
    flat = {"kind": "hose", "length": "3 ft", "to": "4 in"}
    table = changed((8, "length", "80 ft"), (8, "to", "6 in"), (8, "via", frames))
    table["part"].insert(7, flat)
    result = check(parse_job(table))
    (finding,) = found(result, code)
    first, *others = finding.actions
    assert first == EvenHose("part[9]")
    assert not any(isinstance(step, FitPumpRated) for one in others for step in one.steps)
    after = check(first.apply(result.job), fixes=False)
    assert after.condensers[0].flow > after.condensers[0].needed_flow
    assert not found(after, "start-head-short")


def test_a_hose_without_high_points_is_not_led_lower() -> None:
    result = check(parse_job(changed((8, "length", "60 ft"), (8, "bore", "1/2 in"))))
    assert "flow-short" in codes(result)
    kinds = {step.kind for one in result.findings for a in one.actions for step in a.steps}
    assert "set-height" not in kinds
