"""An improvement that fixes no finding is offered only if worth its work."""

import numpy as np

from loop.check import CheckResult, check
from loop.job import read_job
from tests.command_line import JOBS
from tests.sizable import sizable

# A twentieth of the need: what a bucket and a watch still show.
WORTH = 0.05
# Boats of which most have more water than they use, or share it unevenly.
SEEDS = (0, 1, 5, 6, 36, 37, 40, 42, 49, 57)


def gains(result: CheckResult) -> list[float]:
    """What such a balance adds to the share of the unit that is shortest of water."""
    found = []
    for one in result.findings:
        if one.code == "unbalanced" and one.level == "note":
            least, share = one.values["least"], one.values["share"]
            assert isinstance(least, float)
            assert isinstance(share, float)
            found.append(share - least)
    return found


def test_nothing_that_gains_next_to_nothing_is_offered() -> None:
    jobs = [read_job(path) for path in JOBS]
    jobs += [sizable(np.random.default_rng(seed)) for seed in SEEDS]
    every = [gain for job in jobs for gain in gains(check(job, fixes=False))]
    assert len(every) >= 2
    assert min(every) >= WORTH
