"""The trials of a check are limited by a count of solver steps, the same on every machine."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from loop.check import check, plan
from loop.check.build_context import build_context
from loop.check.judge import IncrementalCheck
from loop.check.plan import Plan
from loop.check.trials import GRAVE, MOST_EFFORT
from loop.hydraulics import Network, build, point
from loop.hydraulics.effort import allowed, effort
from loop.job import Job, parse_job, parse_toml, read_job
from loop.words import say
from loop.words.actions import SetSupply
from tests.drawn_jobs import long
from tests.loops import found, job_of
from tests.second_fuzz.files import text_of
from tests.second_fuzz.loops import Boat
from tests.test_actions import drawn
from tests.test_put_right_first import LOSS, branch, two_units
from tests.two_cabins import two_cabins

EXAMPLES = Path(__file__).parent.parent / "examples"


def steps(job: Job, fixes: bool = True) -> float:
    before = effort()
    check(job, fixes)
    return effort() - before


def knotted(seed: int) -> Job:
    boat = Boat(seed)
    return parse_toml(text_of(boat.rng, boat.job()))


@pytest.mark.parametrize("name", ["petrel", "razorbill", "dabchick"])
def test_an_ordinary_boat_takes_less_than_half_of_what_is_allowed(name: str) -> None:
    job = read_job(EXAMPLES / f"{name}.toml")
    assert 0 < steps(job, fixes=False) < steps(job) < MOST_EFFORT / 2


def test_the_count_is_the_same_again_and_in_another_thread() -> None:
    job = drawn(6)
    with ThreadPoolExecutor(1) as pool:
        assert (
            steps(job)
            == pytest.approx(steps(job))
            == pytest.approx(pool.submit(steps, job).result())
        )


@pytest.mark.parametrize("seed", [13])
def test_with_less_allowed_the_gravest_findings_have_their_actions_first(seed: int) -> None:
    every = IncrementalCheck(drawn(seed), effort=4000.0).with_all_actions().findings
    cured = []
    for most in (0.0, 600.0):
        found = IncrementalCheck(drawn(seed), effort=most).with_all_actions().findings
        assert [(one.code, one.at) for one in found] == [(one.code, one.at) for one in every]
        # Fixes for a more serious finding are also tried on the lesser, whatever the limit leaves.
        shown, last = set(), 0
        for n, one in enumerate(found):
            last = n if set(one.actions[:1]) - shown else last
            shown |= set(one.actions)
        for one, whole in zip(found[:last], every[:last], strict=True):
            assert one.actions or not whole.actions
        cured.append(sum(bool(one.actions) for one in found))
    assert cured == sorted(cured)
    assert cured[0] < sum(bool(one.actions) for one in every)


@pytest.mark.parametrize("seed", [3_000_021, 3_000_033])
def test_a_knotted_boat_with_dozens_of_findings_is_bounded(seed: int) -> None:
    """The limit, plus what the last trial takes beyond the check of the job itself."""
    assert steps(knotted(seed)) < 1.5 * GRAVE * MOST_EFFORT


def test_lesser_findings_have_their_fix_where_the_grave_ones_took_all() -> None:
    """Two units that no one change serves, and a bleed on the wrong side of the pump."""
    port, starboard = branch("port", "14 ft", LOSS), branch("starboard", "20 ft", LOSS)
    table = two_units(port, starboard, "demo-ac-500")
    table["part"][0]["facing"], table["part"][2]["bore"] = "forward", "1/2 in"
    table["boat"] = {**table.get("boat", {}), "speed": "28 knot"}
    table["part"].insert(5, table["part"].pop(6))
    for unit in table["condenser"]:
        unit["cooling"] = "19000 BTU/h"
    result = check(parse_job(table))
    assert found(result, "flow-short")
    (missing,) = found(result, "bleed-missing")
    assert missing.actions


def test_what_is_built_counts_as_what_is_solved_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a line of 400 parts each network is costly to build and takes next to nothing to solve."""
    sizes: list[int] = []

    def counted(job: Job) -> Network:
        network = build(job)
        sizes.append(len(network.parts))
        return network

    for module in (point, plan):
        monkeypatch.setattr(module, "build", counted)
    check(long(400))
    # Solver steps of this many parts each, with what an ordinary boat has omitted.
    assert min(sizes) > 300
    assert 1 < len(sizes) < 1.5 * GRAVE * MOST_EFFORT / 100


def test_past_what_is_allowed_nothing_is_known_to_cure() -> None:
    """With a higher limit it is tried, as if it had not been before."""
    job = read_job(EXAMPLES / "razorbill.toml")
    care = Plan(build_context(job), ())
    action = SetSupply(care.context.pump_address, 10 * job.pump.voltage)
    with allowed(-1.0):
        assert not care.cures(action)
        assert not care.context.cure_cache
    care.cures(action)
    assert care.context.cure_cache


def test_two_units_short_of_water_have_what_cures_them() -> None:
    """A fix found with unlimited steps is also found within a check's limit."""
    job = two_cabins()
    endless = [
        one.actions for one in IncrementalCheck(job, effort=1e6).with_grave_actions().findings
    ]
    found = check(job).findings
    faults = [n for n, one in enumerate(found) if one.code == "flow-short"]
    assert len(faults) == 2
    assert all(found[n].actions == endless[n] != () for n in faults)


def test_that_nothing_is_enough_is_said_only_where_all_was_tried() -> None:
    job = two_cabins()

    def fix(effort: float) -> str:
        found = IncrementalCheck(job, effort=effort).with_grave_actions()
        (short, *_) = (one for one in found.findings if one.code == "flow-short")
        assert not short.actions
        assert short.values.get("case") is None
        return say(short, job).fix

    # Whether steps ran out, or nothing was asked for.
    (short, *_) = (one for one in check(job, fixes=False).findings if one.code == "flow-short")
    assert fix(0.0) == fix(500.0) == say(short, job).fix
    # A need that no catalogue pump meets is tried to the end, in vain.
    greedy = job_of(("condenser", "flow_needed", "4000 gal/h"))
    (vain, *_) = (one for one in check(greedy).findings if one.code == "flow-short")
    assert (vain.actions, vain.values["case"]) == ((), "in-vain")
    assert say(vain, greedy).fix != fix(0.0)
