"""A leg from a branch into the shared line holds air: the branch's own hose is too wide."""

import pytest

from loop.check import check
from loop.job import Job
from loop.words.actions import ChangeHose
from tests.branches import branched
from tests.loops import found

INCH = 0.0254


def far_up(pump: str, height: float) -> Job:
    """Two units, the second at this height [m] above the water, its return as wide as the main."""
    table = branched(2).model_dump(mode="json", exclude_none=True)
    ways = [way["part"] for way in table["part"][8]["branch"]]
    for way in ways:
        way[2]["to"] = 0.2  # above the outlet: what is shared falls on
    rise, _, fall = ways[1]
    rise |= {"to": height, "length": 5.0}
    fall |= {"bore": 1.25 * INCH, "length": 5.0}
    table["part"][5]["curve"] = pump
    return Job.model_validate(table)


@pytest.mark.parametrize(("pump", "height"), [("demo-ac-500", 1.65), ("demo-ac-500", 1.7)])
def test_it_is_changed_for_one_that_clears_its_air(pump: str, height: float) -> None:
    job = far_up(pump, height)
    result = check(job)
    (short,) = found(result, "flow-short")
    action = short.actions[0]
    assert isinstance(action, ChangeHose)
    assert action.parts == ("part[9].branch[2].part[3]",)
    assert action.bore < 1.25 * INCH
    after = check(action.apply(job), fixes=False)
    assert not found(after, "siphon-uncertain")
    assert after.verdict == "good"
