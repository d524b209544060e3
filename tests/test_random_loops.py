"""Thousands of random loops and networks: none raises, all balance or say they do not."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from loop.check import check
from loop.curve import Array
from loop.hydraulics import Network, build, solve, solve_flows
from loop.hydraulics.lines import LineLosses, initial_flows
from loop.hydraulics.newton_steps import newton_solve
from loop.job import Job
from loop.units import parse
from tests.loops import codes
from tests.random_jobs import LEAST_FLOW, random_cases, random_job

BALANCED_HEAD = 1e-8  # m
BALANCED_MASS = 1e-9  # of the flow through a joint

# Jobs, and cases of each; the extended run makes a million in chunks of their own seeds.
DEFAULT = (125, 80)
EXTENDED = (100, 100, 100)  # chunks, jobs in a chunk, cases of each


def jobs(seed: int, count: int) -> Iterator[tuple[np.random.Generator, Job]]:
    """Series loops, manifolds, and manifolds inside branches, a third each."""
    for number in range(count):
        rng = np.random.default_rng([seed, number])
        yield rng, random_job(rng, branches=5, depth=number % 3)


def unbalanced_mass(network: Network, flows: Array) -> Array:
    """Largest flow that any joint gains or loses, as a share of the loop's largest, shape (n,).

    If no flow reaches a gallon an hour, as a share of that.
    """
    largest = np.maximum(np.abs(flows).max(axis=1), LEAST_FLOW)
    worst = np.zeros(len(flows))
    for joint in range(network.joints):
        into = sum(flows[:, i] for i, line in enumerate(network.lines) if line.end == joint)
        out = sum(flows[:, i] for i, line in enumerate(network.lines) if line.start == joint)
        worst = np.maximum(worst, np.abs(into - out) / largest)
    return worst


def solve_all(seed: int, count: int, each: int) -> tuple[int, list[str]]:
    """How many cases were solved, and a line for each that did not converge."""
    unsettled = []
    solved = 0
    for number, (rng, job) in enumerate(jobs(seed, count)):
        network = build(job)
        answer = solve_flows(network, random_cases(rng, network, each))
        assert np.isfinite(answer.line_flow).all()
        assert np.isfinite(answer.pump_head).all()
        settled = answer.residual <= BALANCED_HEAD
        assert (settled == answer.settled).all()
        assert (unbalanced_mass(network, answer.line_flow) <= BALANCED_MASS)[settled].all()
        solved += each
        for row in np.flatnonzero(~settled):
            unsettled.append(f"job [{seed}, {number}] row {row}: {answer.residual[row]:.2g} m")
    return solved, unsettled


def test_ten_thousand_cases_balance() -> None:
    solved, unsettled = solve_all(1, *DEFAULT)
    assert solved == 10_000
    assert unsettled == []


@pytest.mark.extended
@pytest.mark.parametrize("chunk", range(EXTENDED[0]))
def test_a_million_cases_balance(chunk: int) -> None:
    solved, unsettled = solve_all(1000 + chunk, *EXTENDED[1:])
    assert solved * EXTENDED[0] == 1_000_000
    assert unsettled == []


@pytest.mark.parametrize(("seed", "number", "row"), [(4078, 89, 44), (1009, 94, 56)])
def test_cases_settle_that_no_run_of_steps_with_all_of_the_tees_losses_settles(
    seed: int, number: int, row: int
) -> None:
    """Cases found among millions. The last ends with its answer before all tee losses are in.

    With the steps of bore, which damp them, plain steps solve both, so they are left out.
    """
    rng = np.random.default_rng([seed, number])
    network = build(random_job(rng, branches=5, depth=number % 3))
    network = replace(network, steps=(0.0,) * len(network.parts))
    cases = random_cases(rng, network, EXTENDED[2])[np.arange(EXTENDED[2]) == row]
    losses = LineLosses(network, cases, exact=False)
    _, missed = newton_solve(losses, initial_flows(losses), 1e-9)
    assert missed[0] > BALANCED_HEAD
    answer = solve_flows(network, cases)
    assert answer.residual[0] <= BALANCED_HEAD
    assert unbalanced_mass(network, answer.line_flow)[0] <= BALANCED_MASS


def test_every_random_job_ends_with_an_answer_or_a_finding() -> None:
    for _, job in jobs(2, 18):
        result = check(job, fixes=False)
        point = result.point
        assert np.isfinite(point.line_flow).all()
        if not point.settled:
            assert "not-settled" in codes(result)
        for unit in result.condensers:
            assert unit.flow_low <= unit.flow + 1e-15 <= unit.flow_high + 2e-15
            if unit.flow < unit.needed_flow:
                assert codes(result) & {"flow-short", "no-flow"}
        if result.pump.flow <= 0:
            assert "no-flow" in codes(result)


def test_the_shown_answer_balances_to_the_last_digit() -> None:
    """The polished point: heads to 1e-8 m, joints to 1e-9 of their flow."""
    settled = 0
    for _, job in jobs(3, 40):
        point = solve(job)
        if point.settled:
            settled += 1
            assert point.residual <= BALANCED_HEAD
            mass = unbalanced_mass(point.network, point.line_flow[None, :])
            assert mass[0] <= BALANCED_MASS
    assert settled == 40


def test_the_random_loops_reach_from_a_drip_to_a_ships_main() -> None:
    flows = [solve(job).flow for _, job in jobs(4, 60)]
    running = [flow for flow in flows if flow > 0]
    assert min(running) < parse("3 gal/h", "flow")
    assert max(running) > parse("50000 gal/h", "flow")
    assert 0 < len(running) < len(flows)  # some stand: shut, or out of the pump's reach
