"""Cost of a solve against the number of branches, 1 to 500 on one header."""

import statistics
import time
from typing import Any

import numpy as np
import pytest

from loop.hydraulics import Network, build, solve_flows
from loop.job import Job
from loop.parts import Branch, Manifold

COUNTS = (1, 5, 20, 100, 500)
ROUNDS = 5


def one_branch() -> Job:
    """A job with one branch on a 4 in header, fed by four pumps in parallel."""
    wide = {"bore": 4 * 0.0254}
    return Job.model_validate(
        {
            "water": {"temperature": 29.0},
            "defaults": {"bore": 0.01905},
            "condenser": [{"name": "unit 0", "cooling": 2500.0}],
            "part": [
                {"kind": "intake", "height": -0.5, **wide},
                {"kind": "pump", "curve": "demo-ac-1500", "count": 4},
                {"kind": "hose", "length": 2.0, "to": 0.15, **wide},
                {"kind": "manifold", "branch": [branch(0)], **wide},
                {"kind": "hose", "length": 2.0, "to": 0.15, **wide},
                {"kind": "discharge", "height": 0.15, **wide},
            ],
        }
    )


def branch(number: int) -> dict[str, Any]:
    """One of many branches, each slightly different."""
    bore = 0.01905
    return {
        "name": f"branch {number}",
        "part": [
            {"kind": "hose", "length": 1.5 + 0.3 * (number % 7), "to": 0.15, "bore": bore},
            {"kind": "condenser", "serves": f"unit {number}", "loss": "7 kPa at 15 L/min"}
            | {"bore": bore},
            {"kind": "hose", "length": 1.0 + 0.1 * (number % 5), "to": 0.15, "bore": bore},
        ],
    }


def many_branches(count: int) -> Network:
    """That job with this many branches, its tables built.

    A file holds a few dozen at most; the solver has no such limit.
    """
    job = one_branch()
    branches = tuple(Branch.model_validate(branch(number)) for number in range(count))
    parts = tuple(
        part.model_copy(update={"branch": branches}) if isinstance(part, Manifold) else part
        for part in job.part
    )
    network = build(job.model_copy(update={"part": parts}))
    assert len(network.lines) == count + 2
    assert solve_flows(network).settled[0]
    return network


def seconds(network: Network) -> float:
    """Median time [s] of a solve on tables."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        solve_flows(network)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


@pytest.mark.benchmark(group="branches")
@pytest.mark.parametrize("count", COUNTS)
def test_solve(benchmark, count: int) -> None:
    benchmark(solve_flows, many_branches(count))


def test_cost_grows_no_worse_than_linearly() -> None:
    """The exponent of cost over 1 to 500 branches; one step costs the same for every branch.

    The upper end alone grows faster: past about 200 branches on 4 in, their tees interact so much
    that it takes twice the steps.
    """
    times = [seconds(many_branches(count)) for count in COUNTS]
    for count, spent in zip(COUNTS, times, strict=True):
        print(f"{count} branches: {spent / times[0]:.1f} times the cost of one")
    exponent, _ = np.polyfit(np.log(COUNTS), np.log(times), 1)
    print(f"cost ~ branches^{exponent:.2f}")
    assert exponent < 1.1  # 0.1 for clock noise
    assert times[-1] / times[-2] < 3 * COUNTS[-1] / COUNTS[-2]
