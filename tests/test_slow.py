"""Slow hoses: reported only where air may stay in them, and by more than rounding shows."""

import math

import pytest

from loop.check import CheckResult, check
from loop.job import Job, parse_job
from loop.margins.speed import HOSE_MIN
from loop.parts.friction import velocity
from loop.size.rules import Rules
from tests.loops import changed, found, job_of


def slow(job: Job) -> list[str | None]:
    return [finding.at.part for finding in found(check(job), "hose-slow")]


WIDE_SUCTION = [(i, "bore", "1-1/2 in") for i in (1, 2, 3, 4, 5)]
HUMPED = [(3, "via", ["-11 in", "-14 in"]), (3, "length", "5 ft")]


def test_a_suction_that_rises_all_the_way_may_be_as_wide_as_it_likes() -> None:
    """Handbook, section 6."""
    job = job_of(*WIDE_SUCTION)
    point = check(job).point
    assert velocity(point.flow, job.part[2].inner_bore) < 0.5 * HOSE_MIN
    assert slow(job) == []


def test_one_that_falls_on_its_way_may_not() -> None:
    assert slow(job_of(*WIDE_SUCTION, *HUMPED)) == ["part[3]"]


def test_air_rises_with_the_water_and_out_of_a_hose_that_falls_fast_enough() -> None:
    """After the pump: up in a wide hose; down in one whose flow is slow but clears it."""
    up = [(7, "bore", "1-1/4 in"), (8, "bore", "1-1/4 in")]
    assert slow(job_of(*up)) == []
    assert slow(job_of((10, "bore", "1-1/4 in"))) == ["part[10]"]


def running_at(share: float) -> Job:
    """A loop whose first hose, with a high point, runs at this share of the least velocity."""
    data = changed(*HUMPED)
    data["units"] = "si"
    flow = check(parse_job(data), fixes=False).point.flow
    for _ in range(6):
        bore = math.sqrt(4 * flow / (math.pi * share * HOSE_MIN))
        data["part"][2]["bore"] = f"{1000 * bore} mm"
        flow = check(parse_job(data), fixes=False).point.flow
    return parse_job(data)


@pytest.mark.parametrize(("share", "told"), [(0.99, False), (0.97, True)])
def test_a_speed_that_is_shown_as_the_limit_is_not_under_it(share: float, told: bool) -> None:
    """0.594 m/s is shown as 0.59, at most a hundredth below 0.60; 0.582 is two below."""
    assert (slow(running_at(share)) == ["part[3]"]) is told


def flapped(condenser: str) -> CheckResult:
    """The plain loop with a check valve after its bleed, and this loss of its condenser."""
    data = changed((9, "loss", condenser))
    data["part"].insert(7, {"kind": "check valve"})
    return check(parse_job(data))


def test_a_check_valve_whose_flap_is_not_wide_open_is_noted() -> None:
    """Crane TP-410, US form: 35 √v ft/s, v in ft³/lb. Its flap then costs what it does there."""
    result = flapped("2.2 psi at 240 gal/h")
    (flap,) = found(result, "hose-slow")
    assert (flap.level, result.verdict) == ("note", "good")
    cubic_feet = 35.3147 / (result.point.network.water.density * 2.20462)
    limit, speed, more = (flap.values[name] for name in ("limit", "speed", "more"))
    assert limit == pytest.approx(35 * math.sqrt(cubic_feet) * 0.3048, rel=0.06)
    assert speed == pytest.approx(velocity(result.point.flow, 0.01905))
    lost = result.point.stations[7].head_loss
    assert more + lost == pytest.approx(lost * (limit / speed) ** 2)


def test_it_is_warned_of_where_that_loss_would_leave_a_unit_short() -> None:
    results = [flapped(f"{loss / 100} psi at 240 gal/h") for loss in range(340, 400, 5)]
    levels = [[one.level for one in found(result, "hose-slow")] for result in results]
    enough = [one.condensers[0].flow_low >= one.condensers[0].needed_flow for one in results]
    warned = [levels[n] == ["warning"] for n in range(len(results))]
    first, last = warned.index(True), enough.index(False)
    assert warned == [first <= n < last for n in range(len(results))]
    for result in results[first:last]:
        (action,) = found(result, "hose-slow")[0].actions
        assert (result.verdict, check(action.apply(result.job)).verdict) == ("attention", "good")


def test_a_sizing_counts_on_more_flow_for_it() -> None:
    rules = Rules(flapped("3.2 psi at 240 gal/h").job)
    assert [one.code for one in rules.findings] == ["hose-slow"]
    assert not rules.aside
    stronger = rules.job.replace({"part[6].curve": "demo-ac-500"})
    assert not rules.judge(stronger).reasons
