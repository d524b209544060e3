"""The benchmarks as a Markdown table of ratios: ``python -m tests.benchmarks.table``.

Each row compares two things in one run on one machine, so that the ratio travels. It takes about
half a minute; the limits are held by the benchmarks' own tests.
"""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from loop.diagnose import diagnose, prepare
from loop.hydraulics import Cases, build, solve, solve_flows
from loop.job import read_job
from tests.benchmarks import test_branches as branches
from tests.benchmarks import test_size_speed as sizing
from tests.benchmarks import test_solve_speed as solving
from tests.benchmarks import test_startup as startup
from tests.benchmarks.service_calls import calls

Row = tuple[str, str]


def start() -> Row:
    """The command beside a Python that only imports the same libraries."""
    with tempfile.TemporaryDirectory() as name:
        one, four = (startup.ratio(job, Path(name), 7) for job in ("kittiwake", "dabchick"))
    told = f"{one:.2f} with one unit, {four:.2f} with four"
    return "`loop check` over the bare imports of its libraries", told


def one_solve() -> Row:
    """One solve on tables beside a scalar root search."""
    network = build(read_job(solving.EXAMPLE))
    solve_flows(network)
    plain = solving.seconds(lambda: solving.plain_flow(network))
    ratio = solving.seconds(lambda: solve_flows(network)) / plain
    return "one solve on tables over a `brentq` on scalar calls", f"{ratio:.2f}"


def whole_point() -> Row:
    """Exact flow, band and stations beside a scalar root search."""
    network = build(read_job(solving.EXAMPLE))
    solve(network.job)
    plain = solving.seconds(lambda: solving.plain_flow(network))
    ratio = solving.seconds(lambda: solve(network.job)) / plain
    return "whole operating point with its band over the same `brentq`", f"{ratio:.1f}"


def study_case() -> Row:
    """A case of a study beside a scalar root search."""
    count = 20_000
    network = build(read_job(solving.EXAMPLE))
    solve_flows(network)
    plain = solving.seconds(lambda: solving.plain_flow(network))
    cases = Cases(speed=np.linspace(0.5, 1.5, count))
    began = time.perf_counter()
    solve_flows(network, cases)
    ratio = (time.perf_counter() - began) / count / plain
    return f"a case of a study of {count:,} over the same `brentq`", f"{ratio:.5f}"


def many_branches() -> Row:
    """Growth of a solve's cost with the number of branches."""
    times = [branches.seconds(branches.many_branches(count)) for count in branches.COUNTS]
    exponent, _ = np.polyfit(np.log(branches.COUNTS), np.log(times), 1)
    least, most = branches.COUNTS[0], branches.COUNTS[-1]
    return f"cost of a solve with {least} to {most} branches", f"∝ branches^{exponent:.2f}"


def sizing_points() -> Row:
    """Points of a sizing beside root searches of the same points, one at a time."""
    built = sizing.networks()
    points = sizing.sample(built, 50)
    searched = sizing.quickest(lambda: [sizing.searched(point) for point in points]) / len(points)
    at_once = sizing.quickest(lambda: sizing.studied(built)) / (sizing.OPTIONS * sizing.DRAWS)
    return "a root search for one draw of a sizing over a point of the study", (
        f"{searched / at_once:.0f}"
    )


def one_diagnosis() -> Row:
    """One diagnosis beside one whole operating point."""
    call = calls(1, seed=2025)[0]
    job = call.study.bench.job
    found = solving.seconds(lambda: diagnose(job, call.readings, prepare(job)))
    return "one diagnosis over one operating point with its band", (
        f"{found / solving.seconds(lambda: solve(job)):.1f}"
    )


BENCHMARKS: tuple[Callable[[], Row], ...] = (
    start,
    one_solve,
    whole_point,
    study_case,
    many_branches,
    sizing_points,
    one_diagnosis,
)


def markdown_table() -> str:
    """The table, made anew."""
    rows = [f"| {name} | {ratio} |" for name, ratio in (run() for run in BENCHMARKS)]
    return "\n".join(["| what over what | ratio |", "| --- | --- |", *rows]) + "\n"


if __name__ == "__main__":
    print(markdown_table(), end="")
