"""The share blocked at which the need is reached: blocked that far, the flow equals the need.

A line may drain as the flow falls, and takes a little of the flow with it; that counts.
"""

import math

import pytest

from loop.check import check
from loop.hydraulics import OperatingPoint, solve
from loop.job import Job, parse_job
from loop.units import parse
from loop.words import say
from loop.words.actions import ChangeStrainer, CleanStrainer
from loop.words.template import rounded
from tests.loops import check_of, found, plain_loop

# Needs from just below the clean flow down to where hardly any of the basket is open [gal/h].
NEEDS = [230, 200, 120, 60, 30, 12, 8]


def loops(need: float, loss: str) -> Job:
    """Two units on one hose, the second with half the need, and a strainer of this loss."""
    data = plain_loop()
    data["condenser"] = [
        {"name": name, "cooling": "6000 BTU/h", "flow_needed": f"{flow} gal/h"}
        for name, flow in (("one", need), ("two", need / 2))
    ]
    data["part"][3]["loss"] = loss
    unit = {"kind": "condenser", "loss": "1 psi at 240 gal/h"}
    data["part"][8:9] = [{**unit, "serves": name} for name in ("one", "two")]
    return parse_job(data)


def blocked(job: Job, share: float) -> OperatingPoint:
    return solve(job.replace({"part[4].blocked": share}))


@pytest.mark.parametrize("loss", ["0.05", "0.4", "3"])
@pytest.mark.parametrize("need", NEEDS)
def test_blocked_so_far_the_flow_is_the_need(need: float, loss: str) -> None:
    job = loops(need, f"{loss} psi at 300 gal/h")
    for unit in check(job).condensers:
        if not math.isnan(unit.clean_at):
            point = blocked(job, unit.clean_at)
            assert point.flow == pytest.approx(unit.needed_flow, rel=2e-3)
            assert blocked(job, unit.clean_before).flow >= unit.needed_flow
        elif unit.flow >= unit.needed_flow:
            assert blocked(job, 0.98).flow > 0.997 * unit.needed_flow


def test_a_boat_with_a_scoop_is_cleaned_by_what_she_gets_at_the_dock() -> None:
    fast = loops(180, "0.4 psi at 300 gal/h").replace(
        {"part[1].facing": "forward", "boat.speed": "15 knot"}
    )
    for unit, rest in zip(
        check(fast).condensers, check(fast.at_speed(0.0)).condensers, strict=True
    ):
        assert unit.flow > rest.flow
        assert (unit.clean_at, unit.flow_half_blocked) == (rest.clean_at, rest.flow_half_blocked)


@pytest.mark.parametrize(("share", "said"), [(0.1429, "14%"), (0.6999, "69%"), (0.0142, "1%")])
def test_the_share_to_clean_at_is_a_whole_percent_on_the_safe_side(share: float, said: str) -> None:
    assert rounded(share, "ratio", "down", "us") == said


@pytest.mark.parametrize(("share", "case"), [(0.05, "none"), (0.09, "none"), (0.2, None)])
def test_under_a_tenth_there_is_no_margin_and_no_percentage_to_act_on(
    share: float, case: str | None
) -> None:
    """The need equals the flow with this share blocked; nobody measures a twentieth of a basket."""
    need = blocked(loops(100, "3 psi at 300 gal/h"), share).flow
    job = loops(need / parse("1 gal/h", "flow"), "3 psi at 300 gal/h")
    (finding,) = (one for one in check(job).findings if one.code == "strainer-margin")
    assert finding.values["clean_at"] == pytest.approx(share, abs=2e-3)
    assert finding.values.get("case") == case
    assert ("%" in say(finding, job).fix) == (case is None)


@pytest.mark.parametrize(("past", "due"), [(-0.02, False), (0.02, True)])
def test_a_strainer_past_the_share_to_clean_it_at_is_cleaned_now(past: float, due: bool) -> None:
    clean = loops(180, "0.4 psi at 300 gal/h")
    mark = min(unit.clean_before for unit in check(clean, fixes=False).condensers)
    result = check(clean.replace({"part[4].blocked": mark + past}))
    found = [one for one in result.findings if one.code == "strainer-due"]
    assert bool(found) == due == (result.verdict != "good")
    for one in found:
        assert one.actions == (CleanStrainer("part[4]"),)


NARROW = [(4, "loss", "1.4 psi at 150 gal/h"), ("condenser", "cooling", "10000 BTU/h")]


@pytest.mark.parametrize("loss", ["0.4", "0.8", "1.6", "2.4", "3.2"])
@pytest.mark.parametrize("need", [100, 130, 160, 190])
def test_no_loop_is_good_that_a_half_blocked_strainer_leaves_short(need: float, loss: str) -> None:
    result = check(loops(need, f"{loss} psi at 200 gal/h"), fixes=False)
    half, least = blocked(result.job, 0.5).flow, parse(f"{need} gal/h", "flow")
    if half < least:
        assert result.verdict != "good"
    told = [one for one in result.findings if one.values.get("case") == "dirty"]
    enough = all(unit.flow_low >= unit.needed_flow for unit in result.condensers)
    assert bool(told) == (enough and half < least)


def test_a_strainer_too_small_once_dirty_is_replaced_by_one_of_the_usual_loss() -> None:
    """The need is reached with less than half of its basket blocked; cleaning it cures nothing."""
    result = check_of(*NARROW)
    (unit,), (told,) = result.condensers, found(result, "flow-marginal")
    assert unit.flow_low > unit.needed_flow > blocked(result.job, 0.5).flow
    assert unit.clean_at < 0.5
    assert told.values["low"] == pytest.approx(blocked(result.job, 0.5).flow, rel=2e-3)
    action = told.actions[0]
    assert isinstance(action, ChangeStrainer)
    assert check(action.apply(result.job)).verdict == "good"


@pytest.mark.parametrize(("service", "told"), [("30 %", False), ("70 %", True)])
def test_how_dirty_it_may_get_is_the_service_for_which_sizes_are_chosen(
    service: str, told: bool
) -> None:
    """With 30 % blocked this loop has its need, with 70 % it has not."""
    result = check_of((4, "loss", "0.7 psi at 180 gal/h"), ("sizing", "service_blocked", service))
    (unit,) = result.condensers
    assert 0.3 < unit.clean_at < 0.7
    assert bool(found(result, "flow-marginal")) == told == (result.verdict != "good")


def test_a_boat_with_a_scoop_needs_her_margin_at_the_dock() -> None:
    """Under way half of the basket will do; its flows, and those of its fixes, are said at rest."""
    scoop = [("boat", "speed", "14 knot"), (1, "facing", "forward")]
    result = check_of(*NARROW, *scoop)
    (told,) = found(result, "flow-marginal")
    resting = result.job.at_speed(0.0)
    assert blocked(result.job, 0.5).flow > result.condensers[0].needed_flow
    assert told.values["state"] == "rest"
    assert told.values["flow"] == pytest.approx(check(resting).condensers[0].flow, rel=1e-6)
    after = told.values["after"]
    assert isinstance(after, tuple)
    fixed = check(told.actions[0].apply(resting), fixes=False).condensers[0]
    assert after[0] == pytest.approx(fixed.flow, rel=1e-6)
