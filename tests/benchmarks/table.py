"""The benchmarks as a Markdown table of ratios: ``python -m tests.benchmarks.table``.

Each row compares two things in one run on one machine, so the ratio is portable, and is measured
several times: the median and, in brackets, the least and the most. It takes about three minutes;
the benchmarks' own tests enforce the limits.
"""

import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median

import numpy as np

from loop.curve import FLOW_GRID
from loop.diagnose import diagnose, prepare, read_readings
from loop.hydraulics import Cases, build, solve, solve_flows
from loop.hydraulics.network import part_table
from loop.job import read_job
from loop.parts import Hose
from loop.seawater import Water
from tests.benchmarks import test_branches as branches
from tests.benchmarks import test_size_speed as sizing
from tests.benchmarks import test_solve_speed as solving
from tests.benchmarks import test_startup as startup
from tests.benchmarks import test_sweep_speed as sweeping

_TIMES = 5
# What is compared, the limit asked for, and one measurement of it.
Row = tuple[str, str, Callable[[], float]]


def started() -> Iterator[tuple[str, str, list[float]]]:
    """Commands, and completion, over a Python that does nothing."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for words, limit in startup.LIMITS.items():
            named = [word for word in words if not word.startswith("/")]
            told = " ".join(named).replace(" -o", " to")
            found = startup.ratios(folder, _TIMES, *words)
            yield f"`loop {told}` over `python -c pass`", f"at most {limit:.0f}", found
        found = startup.completion(folder, _TIMES)
        yield "completion of an option over `python -c pass`", "at most 15", found


def one_solve() -> float:
    """One solve on tables over a scalar root search."""
    network = build(read_job(solving.EXAMPLE))
    solve_flows(network)
    plain = solving.seconds(lambda: solving.plain_flow(network))
    return solving.seconds(lambda: solve_flows(network)) / plain


def one_table() -> float:
    """A hose's losses one at a time over its table on arrays."""
    hose = Hose(length=3.0, to=0.0, bore=0.019, sweeps=(1.57,))
    water = Water(temperature=20.0, salinity=35.0)
    flows = FLOW_GRID.tolist()
    alone = solving.seconds(lambda: [hose.head_loss(flow, water) for flow in flows])
    return alone / solving.seconds(lambda: part_table.__wrapped__(hose, water))


def whole_point() -> float:
    """Exact flow, band and stations over a scalar root search."""
    network = build(read_job(solving.EXAMPLE))
    solve(network.job)
    plain = solving.seconds(lambda: solving.plain_flow(network))
    return solving.seconds(lambda: solve(network.job).flow_low) / plain


def study_case() -> float:
    """A scalar root search over one case of a study."""
    count = 20_000
    network = build(read_job(solving.EXAMPLE))
    solve_flows(network)
    plain = solving.seconds(lambda: solving.plain_flow(network))
    cases = Cases(speed=np.linspace(0.5, 1.5, count))
    began = time.perf_counter()
    solve_flows(network, cases)
    return plain / ((time.perf_counter() - began) / count)


def branch_growth() -> float:
    """Exponent with which a solve's cost grows with the number of branches."""
    times = [branches.seconds(branches.many_branches(count)) for count in branches.COUNTS]
    return float(np.polyfit(np.log(branches.COUNTS), np.log(times), 1)[0])


def sizing_points() -> float:
    """Root searches one at a time over the same points of a sizing."""
    built = sizing.networks()
    points = sizing.sample(built, 50)
    searched = sizing.quickest(lambda: [sizing.searched(point) for point in points]) / len(points)
    at_once = sizing.quickest(lambda: sizing.studied(built)) / (sizing.OPTIONS * sizing.DRAWS)
    return searched / at_once


def one_diagnosis() -> float:
    """One diagnosis over one whole operating point."""
    job = read_job(solving.EXAMPLE)
    readings = read_readings(startup.READINGS, job)
    found = solving.seconds(lambda: diagnose(job, readings, prepare(job)))
    return found / solving.seconds(lambda: solve(job).flow_low)


ROWS: tuple[Row, ...] = (
    ("a hose's losses one at a time over its table on arrays", "7", one_table),
    ("one solve on tables over a `brentq` on scalar `fluids`", "", one_solve),
    ("whole operating point with its band over the same `brentq`", "", whole_point),
    ("the same `brentq` over a case of a study of 20,000", "", study_case),
    ("cost of a solve with 1 to 500 branches, exponent of their number", "", branch_growth),
    ("a root search for one draw of a sizing over a point of the study", "300", sizing_points),
    ("a check over a point of a sweep of 115,200", "300", lambda: sweeping.ratio()[0]),
    ("one diagnosis over one operating point with its band", "", one_diagnosis),
)


def markdown_table() -> str:
    """The table, measured again."""
    measured = [(name, asked, [run() for _ in range(_TIMES)]) for name, asked, run in ROWS]
    lines = [
        f"| {name} | {asked} | {_short(median(found))} ({_short(min(found))} to "
        f"{_short(max(found))}) |"
        for name, asked, found in [*started(), *measured]
    ]
    return "\n".join(["| what over what | asked | ratio |", "| --- | --- | --- |", *lines]) + "\n"


def _short(ratio: float) -> str:
    return f"{ratio:,.0f}" if ratio >= 100 else f"{ratio:.3g}"


if __name__ == "__main__":
    print(markdown_table(), end="")
