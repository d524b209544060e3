"""The smallest set of changes that fixes a loop as it stands."""

import pytest

from loop.hydraulics import build, solve
from loop.job import Job
from loop.size.least_change import least_change
from loop.size.remedies import mended, remedies
from loop.size.result import Change
from loop.size.rules import Rules
from loop.size.worst_case import in_service
from tests.loops import job_of


def changes_of(job: Job) -> tuple[tuple[Change, ...], tuple[tuple[Change, ...], ...]]:
    return least_change(job, Rules(job))


def pump_flow(job: Job) -> float:
    return solve(in_service(job)).flow


def test_a_loop_that_passes_needs_none() -> None:
    assert changes_of(job_of()) == ((), ())


def test_a_dirty_strainer_is_cleaned_before_anything_is_bought() -> None:
    dirty = job_of((4, "blocked", "90 %"))
    (change,), _ = changes_of(dirty)
    assert change.change == "clean the strainer"
    assert change.passes
    before, after = pump_flow(dirty), pump_flow(job_of())
    assert change.flow == pytest.approx(after, rel=1e-3)
    assert change.gain == pytest.approx(after - before, rel=1e-2)


def test_a_half_shut_seacock_is_opened() -> None:
    (change,), _ = changes_of(job_of((2, "open", "40 %")))
    assert change.change == "open the seacock fully"
    assert change.passes


def test_a_hump_that_stops_the_start_is_taken_down() -> None:
    humped = job_of((8, "length", "34 ft"), (8, "via", ["12 ft"]))
    (change,), _ = changes_of(humped)
    assert change.change.startswith("lay the hose 3 no higher than")
    assert change.passes


def test_two_faults_take_two_changes_and_only_the_second_mends() -> None:
    job = job_of((4, "blocked", "92 %"), (2, "open", "30 %"), ("sizing", "pumps", ["demo-ac-350"]))
    changes, _ = changes_of(job)
    assert {change.change for change in changes} == {
        "clean the strainer",
        "open the seacock fully",
    }
    assert [change.passes for change in changes] == [False, True]
    assert all(change.gain > 0 for change in changes)


def test_no_single_change_would_have_done_where_a_set_is_given() -> None:
    job = job_of(
        (8, "bore", "1/2 in"),
        (10, "bore", "1/2 in"),
        ("condenser", "flow_per_ton", "190 gal/h"),
        ("sizing", "pumps", ["demo-ac-350"]),
        ("sizing", "bores", ["1/2 in", "3/4 in", "1 in"]),
    )
    changes, _ = changes_of(job)
    assert len(changes) > 1
    assert changes[-1].passes
    singles = remedies(job, build(job))
    rules = Rules(job)
    assert not any(rules.judge(mended(job, [one])).passes for one in singles)


def test_what_cannot_be_mended_says_so() -> None:
    job = job_of(("condenser", "cooling", "60000 BTU/h"), ("sizing", "pumps", ["demo-ac-350"]))
    changes, others = changes_of(job)
    assert changes
    assert not any(change.passes for change in changes)
    assert others == ()
