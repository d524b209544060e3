"""The sequence that fixes a loop: of two ways the one that is less work in the end."""

from pathlib import Path

from loop.check import as_fixed, check
from loop.check.work import work
from loop.job import parse_job, read_toml
from tests.loops import codes, found
from tests.two_cabins import two_cabins

RAZORBILL = Path(__file__).parent.parent / "examples" / "razorbill.toml"


def test_a_valve_is_not_set_first_where_its_margin_would_then_cost_a_pump() -> None:
    """A near unit whose return is routed high, and a far one in narrow hose."""
    table = read_toml(RAZORBILL, "job")
    near, far = (way["part"] for way in table["part"][8]["branch"])
    near[2] |= {"via": ["36 in", "0 in"], "length": "15 ft"}
    far[0]["bore"] = "1/2 in"
    result = check(parse_job(table))
    valve, hose = found(result, "flow-short")[0].actions
    assert work(result.job, valve) < work(result.job, hose)
    assert "flow-marginal" in codes(check(valve.apply(result.job), fixes=False))
    fixed = as_fixed(result)
    assert fixed.changes[0].action == hose
    kinds = {step.kind for change in fixed.changes for step in change.action.steps}
    assert not kinds & {"change-pump", "fit-pump-rated"}
    assert fixed.result.verdict == "good"


def test_a_loop_that_is_sound_takes_no_changes() -> None:
    result = check(parse_job(read_toml(RAZORBILL.with_stem("kittiwake"), "job")))
    fixed = as_fixed(result)
    assert fixed.changes == ()
    assert fixed.whole
    assert fixed.result is result


def test_all_that_is_wrong_with_two_units_is_put_right() -> None:
    """In addition the pump is above the water and the outlet below it."""
    high = {"part[3].to": "4 in", "part[5].to": "6 in"}
    low = {"part[9].to": "-4 in", "part[10].height": "-4 in"}
    fixed = as_fixed(check(two_cabins().replace(high | low)))
    assert fixed.whole
    assert len(fixed.changes) > 3
    assert fixed.result.verdict == "good"
