"""Options of a sizing solved at once: each flows as it does alone."""

from dataclasses import fields

import numpy as np
import pytest

from loop.hydraulics import Network, build, nominal_flows, together
from loop.hydraulics.build import resized
from loop.hydraulics.flows import Flows
from loop.hydraulics.together import solve_together
from loop.job import Job
from loop.size.fit_choice import with_choice
from loop.size.option_flows import FlowSolver
from loop.size.options import Choice, bore_lists, kits
from loop.size.worst_case import at_worst_service
from tests.branches import branched
from tests.sizable import sizable

JOBS = [sizable(np.random.default_rng(seed)) for seed in range(12)] + [branched(6)]


def drawn_choices(job: Job, seed: int, count: int = 8) -> list[Choice]:
    """Random combinations of a job's pumps and bores."""
    rng = np.random.default_rng(seed)
    drawn = (kits(job)[int(rng.integers(len(kits(job))))] for _ in range(count))
    return [kit.with_bores([rng.choice(bores) for bores in bore_lists(job, kit)]) for kit in drawn]


def options(job: Job, seed: int = 1) -> list[Job]:
    return [at_worst_service(with_choice(job, one)) for one in drawn_choices(job, seed)]


def assert_flow_as_alone(networks: list[Network]) -> None:
    for network in networks:
        found, alone = nominal_flows(network), nominal_flows(build(network.job))
        assert np.array_equal(found.air, alone.air)
        assert np.array_equal(found.settled, alone.settled)
        largest = np.abs(alone.line_flow).max()
        assert found.line_flow == pytest.approx(alone.line_flow, rel=1e-9, abs=1e-12 * largest)
        assert found.pump_head == pytest.approx(alone.pump_head, rel=1e-9)


@pytest.mark.parametrize("number", range(len(JOBS)))
def test_options_of_one_layout_flow_as_each_does_alone(number: int) -> None:
    networks = [build(job) for job in options(JOBS[number])]
    solve_together(networks)
    assert all("nominal_flows" in vars(network) for network in networks)
    assert_flow_as_alone(networks)


def test_loops_of_different_layouts_may_be_mixed() -> None:
    networks = [build(option) for job in JOBS[:4] for option in options(job)[:3]]
    solve_together(networks)
    assert_flow_as_alone(networks)


def test_networks_of_which_one_does_not_settle_are_left_to_be_solved_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    solve = together.solve_in_state

    def first_fails(*given: object) -> Flows:
        flows = solve(*given)  # type: ignore[arg-type]
        flows.settled[0] = False
        return flows

    monkeypatch.setattr(together, "solve_in_state", first_fails)
    networks = [build(job) for job in options(JOBS[-1])]
    solve_together(networks)
    assert not any("nominal_flows" in vars(network) for network in networks)


@pytest.mark.parametrize("number", range(len(JOBS)))
def test_a_resized_network_is_the_one_that_would_be_built(number: int) -> None:
    first, *others = options(JOBS[number], seed=2)
    network = build(first)
    for job in others:
        found, new = resized(network, job), build(job)
        for field in fields(Network):
            assert getattr(found, field.name) == getattr(new, field.name)
        assert nominal_flows(found).line_flow == pytest.approx(nominal_flows(new).line_flow)


def test_flows_found_ahead_are_those_found_when_asked_and_count_when_asked() -> None:
    for job in JOBS[:6]:
        choices = list(dict.fromkeys(drawn_choices(job, seed=3)))
        alone, ahead = FlowSolver(job, {}), FlowSolver(job, {})
        ahead.ahead(choices)
        assert ahead.solves == 0
        for choice in choices[:3]:
            found, asked = ahead(choice), alone(choice)
            assert found.flow_ratios == pytest.approx(asked.flow_ratios, rel=1e-9)
            assert found.speed_ratios == pytest.approx(asked.speed_ratios, rel=1e-9)
        assert ahead.solves == alone.solves > 0
