"""Every example job: the verdict that it illustrates, and the findings that lead to it."""

import tomllib
from pathlib import Path

import pytest

from loop.check import CheckResult, check
from loop.job import read_job
from tests.loops import codes
from tests.test_edit import near

EXAMPLES = Path(__file__).parent.parent / "examples"

# Example: verdict; all findings above a note; notes that it is there to show.
INTENDED: dict[str, tuple[str, set[str], set[str]]] = {
    "kittiwake": ("good", set(), set()),
    "kittiwake-season": ("good", set(), set()),
    "turnstone": ("bad", {"flow-short"}, set()),
    "sandpiper": ("bad", {"flow-short"}, set()),
    "petrel": ("bad", {"suction-above-water", "bleed-missing"}, set()),
    "petrel-fixed": ("good", set(), set()),
    "curlew": ("attention", {"air-held"}, {"hose-slow", "bore-step"}),
    "eider": ("good", set(), set()),
    "guillemot": ("good", set(), {"branch-shut"}),
    "dabchick": ("good", set(), {"branch-shut"}),
    "razorbill": ("bad", {"flow-short", "unbalanced"}, {"flow-excess"}),
    "razorbill-balanced": ("good", set(), {"branch-shut"}),
}


def checked(name: str) -> CheckResult:
    return check(read_job(EXAMPLES / f"{name}.toml"))


def test_every_example_job_is_in_the_list() -> None:
    jobs = {
        path.stem
        for path in EXAMPLES.glob("*.toml")
        if "part" in tomllib.loads(path.read_text(encoding="utf-8"))
    }
    assert jobs == set(INTENDED)


@pytest.mark.parametrize("name", INTENDED)
def test_verdict_and_findings_are_the_intended_ones(name: str) -> None:
    verdict, serious, notes = INTENDED[name]
    result = checked(name)
    assert result.verdict == verdict
    assert {f.code for f in result.findings if f.level != "note"} == serious
    assert notes <= codes(result)
    assert result.point.settled
    assert not result.point.past_curve


def test_petrel_as_fixed_is_petrel_with_the_fixes_that_check_offers() -> None:
    job = read_job(EXAMPLES / "petrel.toml")
    for _ in range(5):
        serious = [f for f in check(job).findings if f.level != "note" and f.actions]
        if not serious:
            break
        job = serious[0].actions[0].apply(job)
    fixed = read_job(EXAMPLES / "petrel-fixed.toml")
    assert near(fixed.model_dump()["part"], job.model_dump()["part"])


def test_balancing_valve_moves_flow_from_the_greedy_unit_to_the_short_one() -> None:
    """The two razorbills differ only in the valve."""
    before, after = (
        {c.name: c for c in checked(name).condensers}
        for name in ("razorbill", "razorbill-balanced")
    )
    assert before["stateroom"].flow < before["stateroom"].needed_flow
    assert after["stateroom"].flow_low > after["stateroom"].needed_flow
    assert after["wheelhouse"].flow < before["wheelhouse"].flow
    first, second = (
        read_job(EXAMPLES / f"{name}.toml").model_dump(exclude={"title"})
        for name in ("razorbill", "razorbill-balanced")
    )
    header = next(i for i, part in enumerate(first["part"]) if part["kind"] == "manifold")
    branch = second["part"][header]["branch"][0]
    kept = [part for part in branch["part"] if part["label"] != "balancing valve"]
    second["part"][header]["branch"][0]["part"] = kept
    # Tuples and lists of parts alike, compared as lists.
    first["part"][header]["branch"][0]["part"] = list(first["part"][header]["branch"][0]["part"])
    assert first == second


def test_units_and_water_of_the_examples_differ_as_they_should() -> None:
    eider, dabchick = checked("eider").job, checked("dabchick").job
    assert eider.units == "si"
    assert 0.5 < eider.water.salinity < 30  # brackish: Venice system, 1958
    assert dabchick.water.salinity == 0
    assert len(dabchick.condenser) == 4
    manifold = dabchick.part[-1]
    assert manifold.kind == "manifold"
    assert all(branch.overboard for branch in manifold.branch)


def test_every_example_pump_and_boat_is_invented() -> None:
    for name in INTENDED:
        assert checked(name).pump.name.startswith("demo-")
