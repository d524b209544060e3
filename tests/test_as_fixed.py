"""The path by which a loop is put right: of two ways the one that is less work in the end."""

from pathlib import Path

from loop.check import as_fixed, check
from loop.check.work import work
from loop.job import parse_job, read_toml
from tests.loops import codes, found

RAZORBILL = Path(__file__).parent.parent / "examples" / "razorbill.toml"


def test_a_valve_is_not_set_first_where_its_margin_would_then_cost_a_pump() -> None:
    """A near unit and a far one in a long hose, behind a seacock of reduced port."""
    table = read_toml(RAZORBILL, "job")
    table["part"][1]["port"] = "1/2 in"
    table["part"][8]["branch"][1]["part"][0]["length"] = "25 ft"
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
