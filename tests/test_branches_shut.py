"""Flow of each unit on one pump with branches shut off: one of them, or all but one."""

import math
from typing import Any

import numpy as np
import pytest

from loop.check import check
from loop.check.balance import all_served, balance_findings, shut_findings, surely_slow
from loop.check.build_context import build_context
from loop.hydraulics import solve
from loop.job import Job, locate, parse_job
from loop.margins.speed import TUBE_MAX, part_speeds
from loop.words import say
from loop.words.actions import SetValve
from loop.words.said import SOURCES
from tests.loops import found
from tests.sizable import sizable
from tests.test_balance import branch, manifold_loop


def three(tube: str) -> Job:
    """Three identical units, each after its own seacock, on one pump."""
    ways = [branch(name, "4 ft") for name in "abc"]
    for way in ways:
        way["part"].insert(0, {"kind": "seacock", "bore": "3/4 in"})
        unit = next(part for part in way["part"] if part["kind"] == "condenser")
        unit |= {"loss": "0.8 psi at 240 gal/h", "tube_bore": tube}
    return parse_job(manifold_loop(dict.fromkeys("abc", "6000 BTU/h"), ways, "demo-ac-700"))


def fastest(job: Job, *shut: int) -> float:
    """The highest velocity in a tube [m/s] with the seacocks of these branches shut."""
    valves = [one.address for one in locate(job.part) if "branch" in one.address]
    valves = [address for address in valves if address.endswith("part[1]")]
    for number in shut:
        job = SetValve(valves[number], math.pi / 2).apply(job)
    return max(one.speed for one in part_speeds(solve(job)) if one.tube)


def test_a_tube_too_fast_with_all_other_branches_shut_is_told_valves_that_hold_it() -> None:
    job = three("0.5 in")
    alone = max(fastest(job, 0, 1), fastest(job, 0, 2), fastest(job, 1, 2))
    assert max(fastest(job, number) for number in range(3)) < TUBE_MAX < alone
    (told,) = found(check(job), "branch-shut")
    assert told.level == "warning"
    assert len(told.values["off"]) == 2
    assert told.values["speed"] == pytest.approx(alone, rel=1e-3)
    after = check(told.actions[0].apply(job))
    (note,) = found(after, "branch-shut")
    assert note.level == "note"
    # Limits of speed are a source only where one is exceeded.
    assert [SOURCES["speed limits"] in say(one, job).source for one in (told, note)] == [
        True,
        False,
    ]
    assert all(unit.flow_low >= unit.needed_flow for unit in after.condensers)


@pytest.mark.wording
def test_a_speed_hardly_over_its_limit_is_said_with_the_limit_and_not_as_a_ratio() -> None:
    """2.54 m/s is 8.33 ft/s, and the limit of 2.5 m/s is 8.20 ft/s."""
    job = three("0.58 in").model_copy(update={"units": "us"})
    (told,) = found(check(job), "branch-shut")
    assert "condenser 3 runs at 8.3 ft/s, over its 8.2 ft/s limit" in say(told, job).message


@pytest.mark.parametrize(
    ("spared", "finder"), [(all_served, balance_findings), (surely_slow, shut_findings)]
)
def test_where_a_bound_spares_a_finder_it_finds_a_note_at_most(spared: Any, finder: Any) -> None:
    jobs = [sizable(np.random.default_rng(seed)) for seed in range(30)]
    tubes = [three(f"{bore} in") for bore in (0.5, 0.58, 0.7, 1.0, 1.5)]
    contexts = [build_context(job) for job in (*jobs, *tubes) if len(job.condenser) > 1]
    levels = {(spared(one), draft.level) for one in contexts for draft in finder(one)}
    assert {(True, "note"), (False, "warning")} <= levels
    assert (True, "warning") not in levels
