"""A sizing's points against one root search each: time ratio, memory, and linear time."""

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.job import read_job
from loop.parts import Pump
from loop.size.fit_choice import with_choice
from loop.size.options import bore_lists, bores_allowed, kits
from loop.size.uncertainty import cases, samples_of
from loop.size.worst_case import at_worst_service

EXAMPLE = Path(__file__).parents[2] / "examples" / "kittiwake.toml"
OPTIONS, DRAWS = 100, 1000
# Root searches that are timed; timing all points would take proportionally longer.
SEARCHED = 500
LEAST_RATIO = 300
_RUNS = 5
GIGABYTE = 1e9


@dataclass(frozen=True)
class Point:
    """One Monte Carlo sample of one option."""

    network: Network
    cases: Cases
    flow: float


def networks() -> list[Network]:
    """Networks of options spread over the example's sizing, their parts tabulated."""
    job = read_job(EXAMPLE)
    every = [
        kit.with_bores(bores)
        for kit in kits(job)
        for bores in product(*bore_lists(job, kit))
        if bores_allowed(bores)
    ]
    some = every[:: max(len(every) // OPTIONS, 1)][:OPTIONS]
    # Every leg full: the plain search has no air model.
    built = [build(at_worst_service(with_choice(job, choice))).full for choice in some]
    assert len(built) == OPTIONS
    for network in built:
        assert network.tables.any()
    return built


def studied(built: list[Network]) -> list[tuple[Cases, Array]]:
    """Every sample of every option: factors drawn and flows solved."""
    found = []
    for network in built:
        draws = next(samples_of(network, DRAWS, 1))
        factors = cases(network, draws)
        found.append((factors, solve_flows(network, factors).line_flow[:, 0]))
    return found


def sample(built: list[Network], count: int) -> list[Point]:
    rng = np.random.default_rng(0)
    found = studied(built)
    picked = zip(rng.integers(OPTIONS, size=count), rng.integers(DRAWS, size=count), strict=True)
    return [Point(built[o], found[o][0][d : d + 1], float(found[o][1][d])) for o, d in picked]


def searched(point: Point) -> float:
    """The point's flow by root search on the parts' own losses, each from `fluids` [m³/s]."""
    network, factors = point.network, point.cases
    assert factors.loss is not None
    along = float(factors.pump_flow[0] * factors.speed[0]) * network.pump.speed
    up = float(factors.pump_head[0]) * (float(factors.speed[0]) * network.pump.speed) ** 2
    curve, water = network.pump.curve.head_curve, network.water
    lift = network.lines[0].outlet_head - network.start_head
    parts = [
        (float(factor), part, step)
        for factor, part, step in zip(factors.loss[0], network.parts, network.steps, strict=True)
        if not isinstance(part, Pump)
    ]

    def spare(flow: float) -> float:
        lost = sum(
            factor * (part.head_loss(flow, water) + step * flow**2) for factor, part, step in parts
        )
        return up * float(curve.extended(flow / along)) - lift - lost

    return float(brentq(spare, 1e-9, 2 * network.pump.curve.last_flow * along))


def quickest(work: Callable[[], object]) -> float:
    """Seconds of the fastest of several runs, which the machine's other load disturbs least."""
    taken = []
    for _ in range(_RUNS):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return min(taken)


def test_same_flows_as_the_root_search() -> None:
    for point in sample(networks(), 60):
        assert point.flow == pytest.approx(searched(point), rel=1e-3)


@pytest.mark.extended
def test_a_hundred_thousand_points_against_root_searches() -> None:
    built = networks()
    points = sample(built, SEARCHED)
    tenth = SEARCHED // _RUNS
    groups = iter([points[i * tenth : (i + 1) * tenth] for i in range(_RUNS)])
    one_by_one = quickest(lambda: [searched(point) for point in next(groups)]) / tenth
    at_once = quickest(lambda: studied(built)) / (OPTIONS * DRAWS)
    ratio = one_by_one / at_once
    print(f"{1e6 * one_by_one:.0f} µs a root search, {1e6 * at_once:.2f} µs a point: {ratio:.0f}")
    assert ratio >= LEAST_RATIO


_STUDY = """
import resource, sys, time
from loop.job import read_job
from loop.size import size, with_sizing
job = with_sizing(read_job(sys.argv[1]), {"bores": "5/8 in, 3/4 in", "pumps": "demo-ac-350"})
job = with_sizing(job, {"suction_bores": sys.argv[3], "pressure_bores": sys.argv[3]})
began = time.perf_counter()
result = size(job, draws=int(sys.argv[2]))
print(result.studied.solves, time.perf_counter() - began,
      resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
"""


def study(draws: int) -> tuple[float, float, float]:
    """Points, seconds and peak memory [bytes] of a sizing of 100 options in its own process."""
    bores = ", ".join(f"{15 + step} mm" for step in range(10))
    words = [sys.executable, "-c", _STUDY, str(EXAMPLE), str(draws), bores]
    told = subprocess.run(words, check=True, capture_output=True, text=True).stdout.split()
    return float(told[0]), float(told[1]), float(told[2])


@pytest.mark.extended
def test_ten_million_points_stay_under_a_gigabyte_and_take_time_in_proportion() -> None:
    _, before, _ = study(100)  # memory that does not grow with the samples
    fewer, seconds_fewer, _ = study(10_000)
    points, seconds, memory = study(100_000)
    print(f"{points:.0f} points: {seconds:.1f} s, {memory / 1e6:.0f} MB")
    assert points > 1e7
    assert memory < GIGABYTE
    growth = (seconds - before) / (seconds_fewer - before)
    assert growth == pytest.approx(points / fewer, rel=0.5)
