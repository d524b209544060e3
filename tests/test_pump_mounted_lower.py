"""A pump mounted too high is lowered along with the hose and strainer before it, at no cost."""

import pytest

from loop.check import check
from loop.job import Job, parse_job
from loop.parts import Hose
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.words.actions import MovePump, MoveStrainer, SetHeights, together
from loop.words.base import part_at
from tests.loops import changed, found

INCH = 0.0254


def level_with_a_bump() -> Job:
    """A pump 3 in under, on a hose as high all along except a bump; light, the boat rises 2 in."""
    return parse_job(
        changed(
            ("boat", "light_rise", "2 in"),
            (1, "height", "-20 in"),
            (3, "length", "3 ft"),
            (3, "to", "-3 in"),
            (5, "length", "12 ft"),
            (5, "to", "-3 in"),
            (5, "via", ["-2.1 in"]),
        )
        | {"sizing": {"pumps": ["demo-ac-350", "demo-ac-700"]}}
    )


def test_the_hose_and_the_strainer_come_down_with_the_pump() -> None:
    job = level_with_a_bump()
    action = found(check(job), "pump-above-water")[0].actions[0]
    kinds = {type(step) for step in action.steps}
    assert kinds == {MovePump, SetHeights, MoveStrainer}
    assert check(action.apply(job), fixes=False).verdict == "good"


def test_a_hose_led_anew_ends_where_another_step_puts_its_end() -> None:
    """2 in under at the lightest load now means 4 in; the bump comes down as far."""
    lower = MovePump("part[6]", -4 * INCH)
    led = SetHeights("part[5]", ((6 * 12 * INCH, -4 * INCH),))
    for steps in ([lower, led], [led, lower]):
        hose = part_at(together(steps).apply(level_with_a_bump()), "part[5]")
        assert isinstance(hose, Hose)
        assert [height for _, height in hose.points] == pytest.approx([-4 * INCH] * 2)


def test_a_sizing_takes_what_costs_nothing_from_the_check() -> None:
    job = level_with_a_bump()
    least, _ = least_change(Rules(job))
    assert least[-1].passes
    assert [change.action for change in least] == [
        found(check(job), "pump-above-water")[0].actions[0]
    ]
