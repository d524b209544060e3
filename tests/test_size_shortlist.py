"""A sizing that checks only what matters shows what one shows that checks every option."""

from typing import Any

import numpy as np
import pytest

from loop.job import Job, read_job
from loop.job.service import Price
from loop.size import Option, SizeResult, size, to_json, with_sizing
from loop.size.option_search import OptionSearch
from loop.size.promise import Promise
from loop.size.pump_search import search_pumps
from loop.size.rank import SHOWN_PASSING, least_objectives, objectives, passing_keys
from loop.size.rules import Rules
from loop.words.size_report import SAY
from tests.command_line import KITTIWAKE, loop
from tests.loops import job_of
from tests.said import pattern
from tests.sizable import sizable

DRAWS = 50
_BORES = ("1/2 in", "5/8 in", "3/4 in", "1 in", "1-1/4 in")
_PUMPS = ("demo-ac-200", "demo-ac-250", "demo-ac-350", "demo-ac-500", "demo-ac-700", "demo-ac-1000")


def with_many_options(seed: int) -> Job:
    """A random boat with several pumps and bores to choose from, in two cases of five priced."""
    rng = np.random.default_rng(seed)
    job = sizable(rng)
    most = 5 if len(job.condenser) == 1 else 3
    bores = rng.choice(_BORES, int(rng.integers(2, most + 1)), replace=False)
    pumps = rng.choice(_PUMPS, int(rng.integers(2, most + 1)), replace=False)
    job = with_sizing(job, {"bores": ", ".join(bores), "pumps": ", ".join(pumps)})
    if rng.random() > 0.4:
        return job
    hose = {bore: float(rng.uniform(4, 15)) for bore in job.sizing.bores}
    price = Price(hose_per_metre=hose, pump={name: float(rng.uniform(90, 600)) for name in pumps})
    return job.model_copy(update={"sizing": job.sizing.model_copy(update={"price": price})})


def kittiwake() -> Job:
    return read_job(KITTIWAKE)


def said(result: SizeResult) -> dict[str, Any]:
    """What is said of a choice, and the options that surely come first."""
    table = to_json(result)
    names = {"runner_up", "front", "options", "studied", "choice", "against"}
    runner_up = None if result.runner_up is None else result.options[result.runner_up].choice
    return {name: value for name, value in table.items() if name not in names} | {
        "choice": result.choice is not None,
        "runner_up": runner_up,
        "against": [(one.of, one.text) for one in result.against],
        "front": [at for at in result.front if at < SHOWN_PASSING],
        "options": table["options"][:SHOWN_PASSING],
        "studied": result.studied.options,
    }


def shows_what_all_show(job: Job) -> None:
    few, every = (size(job, DRAWS, every=every) for every in (False, True))
    assert said(few) == said(every)
    of_choice = {one.choice: one for one in every.options}
    for one in few.options:
        other = of_choice[one.choice]
        assert (one.passes, one.said, one.margin) == (other.passes, other.said, other.margin)
    assert every.studied.unchecked == 0
    left = [one for one in every.options if one.choice not in {two.choice for two in few.options}]
    assert sum(one.passes for one in left) <= few.studied.unchecked <= len(left)


@pytest.mark.parametrize("seed", [21, pytest.param(3, marks=pytest.mark.extended)])
def test_what_is_shown_is_what_a_check_of_all_shows(seed: int) -> None:
    shows_what_all_show(with_many_options(seed))


@pytest.mark.extended
def test_what_is_shown_is_what_a_check_of_all_shows_on_random_boats() -> None:
    for seed in range(1000, 1120):
        shows_what_all_show(with_many_options(seed))


def test_an_ordinary_boat_needs_a_quarter_of_the_checks() -> None:
    job = kittiwake()
    few, every = (size(job, DRAWS, every=every) for every in (False, True))
    assert said(few) == said(every)
    assert few.studied.checks < every.studied.checks / 4
    assert few.studied.unchecked > 50


@pytest.mark.parametrize("seed", [5, 9, 12])
def test_no_check_is_better_than_the_flows_promised(seed: int) -> None:
    shortlist = search_pumps(OptionSearch(Rules(with_many_options(seed))))
    promised = {one.choice: one for one in shortlist.waiting}
    assert promised
    found = {one.choice: one for one in shortlist.check_all()}
    least = least_objectives(shortlist.passing)
    for choice, promise in promised.items():
        is_no_better(found[choice], promise, least)


def is_no_better(option: Option, promise: Promise, least: np.ndarray) -> None:
    pairs = zip(objectives(promise), objectives(option), strict=True)
    assert all(best <= real for best, real in pairs)
    assert promise.may_pass or not option.passes
    if option.passes:
        (best,), (real,) = passing_keys([promise], least), passing_keys([option], least)
        assert best <= real


def test_two_processes_check_what_one_does() -> None:
    job = with_many_options(21)
    one, two = (to_json(size(job, DRAWS, processes=n, every=False)) for n in (1, 2))
    assert one == two


def test_progress_reaches_the_end_with_the_last_of_the_work() -> None:
    seen: list[int] = []
    job = with_sizing(job_of(), {"pumps": "demo-ac-350, demo-ac-500", "bores": "5/8 in, 3/4 in"})
    size(job, DRAWS, progress=lambda done, _: seen.append(done), every=False)
    assert seen == sorted(seen)
    assert seen[-1] == 1000
    assert max(seen[:-1]) < 1000


def test_what_is_not_checked_is_not_said_to_pass() -> None:
    asked = ("size", KITTIWAKE, "--draws", DRAWS, "--bores", "5/8 in, 3/4 in, 1 in")
    short, whole = (loop(*asked, *more, width=200).output for more in ([], ["--all"]))
    unchecked, more = (pattern(SAY, row) for row in ("passing-unchecked", "passing-more"))
    assert unchecked.search(short)
    assert not unchecked.search(whole)
    assert not more.search(short)
    assert not more.search(whole)
    below = [text.split(SAY("passing-title"))[1] for text in (short, whole)]
    for row in below[0].split(SAY("passing-best"))[0].splitlines()[3:]:
        assert row.split() in [other.split() for other in below[1].splitlines()]
