"""Balance valves limited by the air in a throttled branch's high hose."""

from functools import cache
from pathlib import Path

import pytest

from loop.check import CheckResult, check
from loop.job import parse_job, read_toml
from loop.words.actions import FitValve, SetValve
from tests.loops import found

RAZORBILL = Path(__file__).parent.parent / "examples" / "razorbill.toml"


@cache
def high(*scale: str) -> CheckResult:
    """The example of a near and a far unit, with the near one's hose routed up under the deck.

    With this scale in the near unit and in the far one.
    """
    table = read_toml(RAZORBILL, "job")
    ways = [way["part"] for way in table["part"][8]["branch"]]
    ways[0][0] |= {"via": ["50 in", "0 in"], "length": "15 ft"}
    for way, thick in zip(ways, scale, strict=False):
        way[1] |= {"tube_bore": "12 mm", "tubes": 2, "scale": thick}
    return check(parse_job(table))


@pytest.mark.parametrize(
    ("scale", "kinds"),
    [((), ["fit-valve"]), (("0.5 mm", "1.2 mm"), ["descale", "descale", "fit-valve"])],
)
def test_a_valve_goes_no_further_than_its_branch_stays_full(
    scale: tuple[str, ...], kinds: list[str]
) -> None:
    """Equal shares would leave air in the high hose, and the near unit less than its share."""
    result = high(*scale)
    (short,) = found(result, "flow-short")
    action = short.actions[0]
    assert [step.kind for step in action.steps] == kinds
    after = check(action.apply(result.job), fixes=False)
    assert after.verdict == "good"
    near, far = (unit.flow / unit.needed_flow for unit in after.condensers)
    assert near > far
    (valve,) = (step for step in action.steps if isinstance(step, FitValve))
    assert valve.branch == "to the wheelhouse"
    # Nor is it said that no setting would do, or that the units need two pumps.
    (uneven,) = [*found(result, "unbalanced"), *found(result, "cannot-balance")]
    assert uneven.actions[0] == action


def test_a_balancing_valve_found_shut_is_set_not_opened_wide() -> None:
    """Wide open it takes the water of the other branch, which is then short."""
    data = read_toml(RAZORBILL.with_stem("razorbill-balanced"), "job")
    data["part"][8]["branch"][0]["part"][1]["open"] = "0 %"
    job = parse_job(data)
    valve = "part[9].branch[1].part[2]"
    assert check(SetValve(valve, 0.0).apply(job)).verdict == "bad"
    (short,) = found(check(job), "flow-short")
    (action,) = short.actions
    assert isinstance(action, SetValve)
    assert action.part == valve
    assert check(action.apply(job)).verdict == "good"
