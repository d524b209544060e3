"""Slow hoses: reported only where air may stay in them, and by more than rounding shows."""

import math

import pytest

from loop.check import check
from loop.job import Job, parse_job
from loop.margins.speed import HOSE_MIN
from loop.parts.friction import velocity
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
