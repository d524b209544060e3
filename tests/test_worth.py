"""What is offered to better a loop, and cures nothing, is worth its work."""

from collections import Counter

import numpy as np

from loop.check import CheckResult, check
from loop.job import read_job
from tests.command_line import JOBS
from tests.sizable import sizable

# A twentieth of the need: what a bucket and a watch still show.
WORTH = 0.05


def worth_it(result: CheckResult) -> Counter[str]:
    """Holds the findings of one check to the law; the codes that gave something to hold."""
    held = Counter[str]()
    for one in result.findings:
        values = one.values
        if one.code == "unbalanced" and one.level == "note":
            least, share = values["least"], values["share"]
            assert isinstance(least, float)
            assert isinstance(share, float)
            assert share - least >= WORTH
            held[one.code] += 1
        if one.code != "flow-excess" or values.get("case") == "balanced":
            continue
        flow, needed = values["flow"], values["needed"]
        assert isinstance(flow, float)
        assert isinstance(needed, float)
        for number, action in enumerate(one.actions):
            unit = next(
                unit
                for unit in check(action.apply(result.job), fixes=False).condensers
                if unit.name == one.at.unit
            )
            assert flow - unit.flow >= WORTH * needed * (1 - 1e-6), number
            held[one.code] += 1
    return held


# Boats of which most have more water than they use, or share it unevenly.
SEEDS = (0, 1, 5, 6, 36, 37, 40, 42, 49, 57)


def test_nothing_that_gains_next_to_nothing_is_offered() -> None:
    jobs = [read_job(path) for path in JOBS]
    jobs += [sizable(np.random.default_rng(seed)) for seed in SEEDS]
    held = sum((worth_it(check(job)) for job in jobs), Counter[str]())
    assert held["unbalanced"] >= 2
    assert held["flow-excess"] >= 6


def test_a_unit_a_little_over_its_use_is_left_alone() -> None:
    dabchick = next(path for path in JOBS if path.stem == "dabchick")
    (slight,) = (one for one in check(read_job(dabchick)).findings if one.code == "flow-excess")
    assert slight.values["case"] == "slight"
    assert slight.actions == ()
