"""A part narrower than the hoses it joins is changed to their bore before a pump is."""

import pytest

from loop.check import check
from loop.check.work import WORK, work
from loop.job import Job, parse_job
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.words.action_words import action_text
from loop.words.actions import ChangeBore
from loop.words.speaker import Speaker
from tests.branches import branched
from tests.loops import changed, found

INCH = 0.0254
STRAINER, BLEED, OUTLET = 4, 7, 11


def narrow(part: int, bore: str = "1/4 in") -> Job:
    return parse_job(changed((part, "bore", bore)))


@pytest.mark.parametrize("part", [STRAINER, BLEED, OUTLET])
def test_it_is_the_first_fix_and_leaves_a_good_loop(part: int) -> None:
    job = narrow(part)
    action = found(check(job), "flow-short")[0].actions[0]
    assert isinstance(action, ChangeBore)
    assert action.part == f"part[{part}]"
    assert action.bore == pytest.approx(0.75 * INCH)
    assert check(action.apply(job), fixes=False).verdict == "good"


def test_a_header_is_of_the_bore_of_the_hose_that_feeds_it() -> None:
    """A part wrong by itself is tried before hoses, whose trials would leave no time for it."""
    job = branched(3, bore="3/8 in")
    action = found(check(job), "flow-short")[0].actions[0]
    assert action == ChangeBore("part[9]", pytest.approx(1.25 * INCH))


def test_the_outlets_hole_is_worked_on_afloat_and_upright_where_it_is_dry() -> None:
    job = narrow(OUTLET)
    action = found(check(job), "flow-short")[0].actions[0]
    said = action_text(action, Speaker(job))
    assert said.startswith("afloat and upright in still water")
    assert said.endswith("change the discharge from 1/4 in to 3/4 in")


def test_the_smallest_change_of_a_sizing_is_the_same() -> None:
    """A half-inch outlet would be enough, but leaves a step."""
    job = narrow(OUTLET)
    least, _ = least_change(Rules(job))
    assert [one.action for one in least] == [found(check(job), "flow-short")[0].actions[0]]
    half = ChangeBore(f"part[{OUTLET}]", 0.5 * INCH)
    assert Rules(job).judge(half.apply(job)).passes


def test_only_the_hole_by_which_the_water_comes_in_is_work_on_the_hull() -> None:
    job = parse_job(changed())
    of_outlet, of_intake = (work(job, ChangeBore(f"part[{n}]", INCH)) for n in (OUTLET, 1))
    assert of_outlet == WORK["change-bore"] < WORK["change-pump"] < of_intake
