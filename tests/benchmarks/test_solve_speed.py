"""The in-process solve against a plain root finder over scalar library calls, on the same job."""

import statistics
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from loop.hydraulics import Cases, Network, build, solve, solve_flows
from loop.hydraulics.band import flow_band
from loop.job import read_job

EXAMPLE = Path(__file__).parents[2] / "examples" / "kittiwake.toml"
ROUNDS = 15


def plain_flow(network: Network) -> float:
    """Flow [m³/s] of a series loop: ``brentq`` over the parts' own losses, one at a time."""
    (line,) = network.lines
    pump, water = network.pump, network.water
    parts = [network.parts[i] for i in line.parts]

    def over(flow: float) -> float:
        lost = sum(part.head_loss(flow, water) for part in parts)
        head = float(pump.curve.head_curve.extended(flow / pump.speed)) * pump.speed**2
        return network.start_head + head - lost - line.outlet_head

    return float(brentq(over, 1e-9, 2 * pump.curve.last_flow, xtol=1e-14, rtol=1e-12))


def seconds(run: Callable[[], object]) -> float:
    """Median time [s] of a call."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


@pytest.fixture(scope="module")
def network() -> Network:
    made = build(read_job(EXAMPLE))
    # A part's table is built once, however often the loop is solved.
    solve_flows(made)
    return made


def test_both_give_the_same_flow(network: Network) -> None:
    exact = solve_flows(network, exact=True, start=solve_flows(network).line_flow)
    assert exact.line_flow[0, 0] == pytest.approx(plain_flow(network), rel=1e-9)


@pytest.mark.benchmark(group="solve")
def test_plain_brentq(benchmark, network: Network) -> None:
    benchmark(plain_flow, network)


@pytest.mark.benchmark(group="solve")
def test_solve_on_tables(benchmark, network: Network) -> None:
    benchmark(solve_flows, network)


@pytest.mark.benchmark(group="solve")
def test_whole_operating_point(benchmark, network: Network) -> None:
    """Exact flow, band and stations."""
    benchmark(lambda: solve(network.job).flow_low)


def test_ratios_to_the_plain_root_finder(network: Network) -> None:
    """Printed with -s; the limits allow twice the usual for a busy machine."""
    plain = seconds(lambda: plain_flow(network))
    rows = {
        "one solve on tables": (seconds(lambda: solve_flows(network)), 10.0),
        "the band, a thousand loops": (
            seconds(lambda: flow_band(network, solve_flows(network).line_flow[0])),
            90.0,
        ),
        "whole operating point": (seconds(lambda: solve(network.job).flow_low), 150.0),
    }
    for name, (time_, most) in rows.items():
        print(f"{name}: {time_ / plain:.2f} of a plain brentq over scalar calls")
        assert time_ / plain < most, name


def test_a_study_costs_less_a_case_than_the_plain_root_finder(network: Network) -> None:
    count = 20_000
    cases = Cases(speed=np.linspace(0.5, 1.5, count))
    plain = seconds(lambda: plain_flow(network))
    start = time.perf_counter()
    solve_flows(network, cases)
    ratio = (time.perf_counter() - start) / count / plain
    print(f"a case of a study of {count}: {ratio:.5f} of a plain brentq over scalar calls")
    assert ratio < 0.05
