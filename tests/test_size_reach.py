"""How far a loop goes before it fails: each limit against checks just inside and outside it."""

import pytest

from loop.check import check
from loop.job import Job, parse_job, read_job
from loop.size.chances import Chances
from loop.size.limits import Reach, quantities, reach
from loop.size.rules import Rules, grave
from loop.size.words import reach_words
from loop.size.worst_case import at_worst_service
from loop.units import parse
from loop.words.sizing import SAY
from tests.command_line import EXAMPLES
from tests.loops import job_of, plain_loop
from tests.said import is_said

# 1/128 of the range is left undetermined.
_OPEN = 1.01 / 128


def codes(job: Job) -> set[str]:
    """Findings of a check at worst service other than dirt, or too low a chance."""
    wrong = {finding.code for finding in grave(check(at_worst_service(job), fixes=False))}
    unsure = Chances().least(job) < job.sizing.confidence
    return (wrong - {"strainer-due"}) or ({"chance-low"} if unsure else set())


def reached(job: Job) -> dict[str, Reach]:
    return {one().of: one() for one in reach(job, Rules(job))}


@pytest.mark.parametrize("name", ["kittiwake", "razorbill-balanced", "petrel-fixed"])
def test_a_check_passes_just_inside_each_limit_and_fails_just_outside(name: str) -> None:
    job = read_job(EXAMPLES / f"{name}.toml")
    found = reached(job)
    ranges = {of: (now, most, made) for of, now, most, made in quantities(job)}
    assert found.keys() == ranges.keys()
    assert {"run", "lift", "sea", "blocked"} <= found.keys()
    assert any(one.code for one in found.values())
    for of, one in found.items():
        now, most, made = ranges[of]
        assert not codes(made(one.limit)), of
        outside = one.limit + _OPEN * (most - now)
        assert bool(one.code) == (one.code in codes(made(outside))) or one.limit == most, of


def test_what_is_said_lies_inside_the_limit_in_the_units_that_are_shown() -> None:
    job = job_of((6, "curve", "demo-dc-600"), ("defaults", "bore", "3/4 in"))
    kinds = {"run": "length", "lift": "length", "sea": "temperature", "supply": "voltage"}
    for one in reached(job).values():
        _, _, said, code = reach_words(one, "us")
        if not one.code:
            assert is_said(said, SAY, "reach-past")
            assert code == "—"
        elif one.of in kinds:
            shown = parse(said, kinds[one.of])  # type: ignore[arg-type]
            assert shown >= one.limit if one.of == "supply" else shown <= one.limit + 1e-9


def test_all_short_of_a_limit_passes() -> None:
    job = read_job(EXAMPLES / "kittiwake.toml")
    found = reached(job)
    for of, now, _, made in quantities(job):
        for share in (0.3, 0.9):
            assert not codes(made(now + share * (found[of].limit - now))), of


def test_a_loop_with_no_hose_after_its_pump_goes_no_farther_by_hose() -> None:
    data = plain_loop()
    pump = next(i for i, part in enumerate(data["part"]) if part["kind"] == "pump")
    data["part"] = [
        part for i, part in enumerate(data["part"]) if i < pump or part["kind"] != "hose"
    ]
    data["part"][-1]["height"] = data["part"][pump - 1]["to"]
    assert "run" not in [of for of, *_ in quantities(parse_job(data))]
