"""A point of a sweep against a check of the same loop: a ratio in one run."""

import time
from pathlib import Path

import numpy as np

from loop.catalogue import catalogue
from loop.check import check
from loop.job import Job, read_job
from loop.sweep import Sweep, sweep

EXAMPLE = Path(__file__).parents[2] / "examples" / "kittiwake.toml"
# Targets: a point costs at most a check over this ratio; the whole grid this long [s] on one core.
_CHEAPER, _WITHIN = 300, 10.0


def grid(job: Job) -> tuple[Sweep, float]:
    """115,200 points of lengths, bores, pumps and lifts, and the processor time [s] they take."""
    lengths = [f"{metres:.3f} m" for metres in np.linspace(2.5, 12, 48)]
    bores = [f"{size} in" for size in ("1/2", "5/8", "3/4", "7/8", "1", "1-1/4")]
    lifts = [f"{inches:.2f} in" for inches in np.linspace(1, 12.2, 25)]
    pumps = catalogue()[:16]
    vary = {
        "part[8].length": lengths,
        "part[8].bore": bores,
        "pump": pumps,
        ("part[10].to", "part[11].height"): lifts,
    }
    began = time.process_time()
    found = sweep(job, vary)
    return found, time.process_time() - began


def ratio() -> tuple[float, float]:
    """Processor time of a check over that of a grid point, and that of the whole grid [s]."""
    job = read_job(EXAMPLE)
    check(job)
    began = time.process_time()
    for _ in range(5):
        check(job)
    alone = (time.process_time() - began) / 5
    found, took = grid(job)
    return alone / (took / found.head.size), took


def test_a_point_of_a_sweep_is_cheap() -> None:
    cheaper, took = ratio()
    print(f"a check over a point of a sweep: {cheaper:.0f}; 115,200 points: {took:.1f} s")
    assert cheaper > _CHEAPER
    assert took < _WITHIN
