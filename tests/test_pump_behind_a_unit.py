"""A pump mounted above the water after its unit is moved ahead of it: nothing is bought."""

import pytest

from loop.check import check
from loop.job import Job, parse_job
from loop.words.action_words import action_text
from loop.words.actions import MovePart
from loop.words.speaker import Speaker
from tests.loops import changed, found


def behind(place: int, *changes: tuple[str | int, str, str]) -> Job:
    """The plain loop, with its pump inserted before the part of this number."""
    table = changed((8, "to", "10 in"), *changes)
    pump = table["part"].pop(5)
    table["part"].insert(place - 2, pump)
    return parse_job(table)


@pytest.mark.parametrize("place", [10, 11])
def test_it_goes_to_the_end_of_the_hose_before_the_unit(place: int) -> None:
    """One step fixes everything that its position causes."""
    job = behind(place)
    (above,) = found(check(job), "pump-above-water")
    action = above.actions[0]
    assert action == MovePart(f"part[{place - 1}]", "part[5]")
    assert check(action.apply(job), fixes=False).verdict == "good"
    assert "switched off and locked out" in action_text(action, Speaker(job))


def test_where_no_hose_before_the_unit_lies_low_enough_it_does_not() -> None:
    job = behind(10, (3, "to", "2 in"), (5, "to", "3 in"), (3, "length", "3 ft"))
    (above,) = found(check(job), "pump-above-water")
    assert not any(isinstance(step, MovePart) for a in above.actions for step in a.steps)
