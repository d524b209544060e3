"""The solver's laws, on random loops and networks, and an independent formulation."""

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, root

from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.manifolds import manifolds
from loop.hydraulics.network import SEA_IN, SEA_OUT
from loop.hydraulics.nodes import joint_drops
from loop.job import Job, parse_job
from loop.parts import Manifold
from tests.loops import changed, job_of, plain_loop
from tests.random_jobs import random_cases, random_job

seeds = st.integers(0, 2**32 - 1)
some = settings(max_examples=15, deadline=None)


def drawn(seed: int, depth: int, branches: int = 4) -> Job:
    return random_job(np.random.default_rng(seed), branches, depth)


def exact_flows(network: Network) -> Array:
    rough = solve_flows(network)
    answer = solve_flows(network, exact=True, start=rough.line_flow)
    assert answer.settled[0]
    return answer.line_flow[0]


def through_pump(job: Job) -> float:
    network = build(job)
    return float(exact_flows(network)[network.pump_line])


# Series loops


@some
@given(st.floats(0, 0.9), st.floats(0.01, 0.099))
def test_more_blockage_never_gives_more_flow(blocked: float, more: float) -> None:
    def flow(share: float) -> float:
        return through_pump(job_of((4, "blocked", f"{100 * share} %")))

    assert flow(blocked + more) <= flow(blocked) * (1 + 1e-9)


@some
@given(seeds, st.floats(1, 1.3))
def test_a_higher_shutoff_head_never_gives_less_flow(seed: int, factor: float) -> None:
    network = build(drawn(seed, depth=0))
    both = solve_flows(network, Cases(pump_head=np.array([1.0, factor])))
    # Past its last point, where a scoop may drive it, a curve's head may be below zero.
    assume(bool((both.pump_head > 0).all()))
    low, high = both.line_flow[:, network.pump_line]
    assert high >= low * (1 - 1e-9)


@some
@given(st.permutations(range(5)))
def test_order_of_series_fittings_changes_no_flow(order: list[int]) -> None:
    fittings: list[dict[str, Any]] = [
        {"kind": "elbow", "count": 2},
        {"kind": "tee"},
        {"kind": "fitting", "k": 1.3},
        {"kind": "seacock", "open": "70 %"},
        {"kind": "check valve"},
    ]

    def flow(places: list[int]) -> float:
        data = plain_loop()
        data["part"][8:8] = [fittings[i] for i in places]
        return through_pump(parse_job(data))

    assert flow(order) == pytest.approx(flow(list(range(5))), rel=1e-10)


@some
@given(seeds)
def test_a_series_loop_agrees_with_a_root_found_on_its_parts(seed: int) -> None:
    """Pump head less losses less static head, by a bracketing root finder."""
    network = build(drawn(seed, depth=0)).full
    flow = float(exact_flows(network)[0])
    (line,) = network.lines
    assume(flow > 1e-9)

    def over(q: float) -> float:
        lost = sum(network.head_loss(i, q) for i in line.parts)
        return network.start_head + pump_at(network, q) - lost - line.outlet_head

    assert flow == pytest.approx(brentq(over, 1e-12, 10.0, xtol=1e-15, rtol=1e-13), rel=1e-7)


def pump_at(network: Network, flow: float) -> float:
    """Head of the pump or pumps [m], by the affinity laws."""
    pump = network.pump
    at = flow / pump.speed / pump.in_parallel
    return pump.speed**2 * pump.in_series * float(pump.curve.head_curve.extended(at))


# Networks


@some
@given(seeds, st.integers(1, 2))
def test_flows_into_a_joint_sum_to_zero(seed: int, depth: int) -> None:
    network = build(drawn(seed, depth))
    flows = exact_flows(network)
    for joint in range(network.joints):
        into = sum(flows[i] for i, line in enumerate(network.lines) if line.end == joint)
        out = sum(flows[i] for i, line in enumerate(network.lines) if line.start == joint)
        assert into == pytest.approx(out, rel=1e-9, abs=1e-9 * float(np.max(np.abs(flows))))


@some
@given(seeds)
def test_rejoining_branches_lose_the_same_head(seed: int) -> None:
    """Between the joints, tees included, except lines that a valve shuts or a wall holds back."""
    network = build(drawn(seed, depth=1)).full
    flows = exact_flows(network)
    for fork in network.forks:
        tees = manifolds((fork,), len(network.lines)).losses(flows[None, :], exact=True)
        leaving, returning = tees[0][0], tees[1][0]
        lost = [
            leaving[fork.first[i]] + returning[last] + line_loss(network, fork.first[i], flows)
            for i, last in enumerate(fork.last)
            if last is not None and flows[last] != 0
        ]
        assert lost == pytest.approx(lost[:1] * len(lost), abs=2e-8)


def line_loss(network: Network, number: int, flows: Array) -> float:
    """Head lost on a line [m], negative for reverse flow."""
    flow = float(flows[number])
    size = sum(network.head_loss(i, abs(flow)) for i in network.lines[number].parts)
    return float(np.sign(flow)) * size


@some
@given(seeds, st.floats(1.01, 5))
def test_more_loss_on_a_branch_never_raises_its_flow(seed: int, factor: float) -> None:
    """Its own loss only, without the split-dependent tee losses, for which no such law holds."""
    network = build(drawn(seed, depth=1))
    for number, line in enumerate(network.lines):
        loss = np.ones((2, len(network.parts)))
        loss[1, list(line.parts)] = factor
        answer = solve_flows(network, Cases(loss=loss, tee=np.zeros(2)))
        before, after = np.abs(answer.line_flow[:, number])
        if answer.settled.all():
            assert after <= before * (1 + 1e-6) + 1e-11


def with_branches(bore: float, names: list[str], order: list[int]) -> Job:
    """Four unequal branches on a header of this bore, under these names, in this order."""
    sizes = ((2.0, 0.5), (5.0, 0.3), (8.0, 0.0), (3.0, 0.0))
    branches = [
        {
            "name": names[i],
            "part": [
                {"kind": "hose", "length": length, "to": 0.4},
                {"kind": "condenser", "serves": f"unit {i}", "loss": "8 kPa at 10 L/min"},
                {"kind": "hose", "length": length, "to": out},
                {"kind": "discharge", "height": out},
            ],
        }
        for i, (length, out) in enumerate(sizes)
    ]
    wide = {"bore": bore}
    return Job.model_validate(
        {
            "water": {"temperature": 25.0},
            "defaults": {"bore": 0.019},
            "condenser": [{"name": f"unit {i}", "cooling": 2500.0} for i in range(4)],
            "part": [
                {"kind": "intake", "height": -0.4, **wide},
                {"kind": "pump", "curve": "demo-ac-1000"},
                {"kind": "hose", "length": 2.0, "to": 0.0, **wide},
                {"kind": "manifold", "branch": [branches[i] for i in order], **wide},
            ],
        }
    )


def unit_flows(job: Job) -> dict[str, float]:
    network = build(job)
    flows = exact_flows(network)
    return {
        unit.name: float(flows[network.line_of[network.condenser_part(unit.name)]])
        for unit in job.condenser
    }


@some
@given(st.permutations(["a", "b", "c", "d"]))
def test_names_of_branches_change_nothing(names: list[str]) -> None:
    order = [0, 1, 2, 3]
    plain = unit_flows(with_branches(0.025, ["a", "b", "c", "d"], order))
    assert unit_flows(with_branches(0.025, names, order)) == plain


@given(st.permutations(range(3)))
def test_order_of_branches_changes_nothing_on_a_very_wide_header(order: list[int]) -> None:
    """Except the last: it is the end of the header's run, and enters without a tee's turn."""
    names = ["a", "b", "c", "d"]
    first = unit_flows(with_branches(0.4, names, [0, 1, 2, 3]))
    assert unit_flows(with_branches(0.4, names, [*order, 3])) == pytest.approx(first, rel=1e-4)


def test_order_of_branches_matters_on_a_narrow_header() -> None:
    names = ["a", "b", "c", "d"]
    first = unit_flows(with_branches(0.019, names, [0, 1, 2, 3]))
    assert unit_flows(with_branches(0.019, names, [3, 2, 1, 0])) != pytest.approx(first, rel=1e-3)


@some
@given(seeds, st.integers(1, 2))
def test_an_independent_formulation_gives_the_same_flows(seed: int, depth: int) -> None:
    """Heads of joints and flows of lines as one system of equations, by a general root finder."""
    network = build(drawn(seed, depth, branches=3)).full
    flows = exact_flows(network)
    # A line at rest is an inequality, which such a system cannot express.
    assume(bool((np.abs(flows) > 1e-3 * np.abs(flows).max()).all()))
    lines, joints = network.lines, network.joints
    scale, head = np.abs(flows).max(), pump_at(network, 0.0)

    def imbalance(unknown: Array) -> Array:
        q, h = unknown[: len(lines)] * scale, unknown[len(lines) :] * head
        tees = np.zeros(len(lines))
        for fork in network.forks:
            leaving, returning = manifolds((fork,), len(lines)).losses(q[None, :], exact=True)
            tees += leaving[0] + returning[0]
        heads = [
            (network.start_head if line.start == SEA_IN else h[line.start])
            - (line.outlet_head if line.end == SEA_OUT else h[line.end])
            - line_loss(network, i, q)
            - tees[i]
            + (pump_at(network, float(q[i])) if i == network.pump_line else 0.0)
            for i, line in enumerate(lines)
        ]
        mass = [
            sum(q[i] for i, line in enumerate(lines) if line.end == joint)
            - sum(q[i] for i, line in enumerate(lines) if line.start == joint)
            for joint in range(joints)
        ]
        return np.array([*(value / head for value in heads), *(m / scale for m in mass)])

    rng = np.random.default_rng(seed)
    start = np.concatenate(
        [flows / scale * rng.uniform(0.9, 1.1, len(lines)), np.full(joints, 0.5)]
    )
    answer = root(imbalance, start, method="hybr", options={"xtol": 1e-13, "maxfev": 20_000})
    assume(float(np.max(np.abs(answer.fun))) < 1e-10)
    assert answer.x[: len(lines)] * scale == pytest.approx(flows, rel=1e-6, abs=1e-6 * scale)


# Many cases at once


@some
@given(seeds, st.integers(0, 2))
def test_tables_lie_within_two_thousandths_of_the_exact_answer(seed: int, depth: int) -> None:
    """Within 0.1 %, except where flow turns from laminar and the loss bends sharply."""
    network = build(drawn(seed, depth))
    table, exact = solve_flows(network).line_flow[0], exact_flows(network)
    assert table == pytest.approx(exact, rel=2e-3, abs=2e-3 * float(np.max(np.abs(exact))) + 1e-12)


@some
@given(seeds, st.integers(0, 2))
def test_many_cases_at_once_equal_each_alone(seed: int, depth: int) -> None:
    network = build(drawn(seed, depth))
    cases = random_cases(np.random.default_rng(seed), network, 5)
    together = solve_flows(network, cases)
    for row in range(5):
        alone = solve_flows(network, cases[np.arange(5) == row])
        if together.settled[row] and alone.settled[0]:
            size = float(np.max(np.abs(alone.line_flow)))
            assert together.line_flow[row] == pytest.approx(
                alone.line_flow[0], rel=1e-6, abs=1e-6 * size + 1e-12
            )


def test_a_large_study_is_cut_into_chunks_without_a_seam() -> None:
    network = build(job_of())
    speed = np.linspace(0.5, 1.5, 9001)
    study = solve_flows(network, Cases(speed=speed))
    assert study.line_flow.shape == (9001, 1)
    assert study.settled.all()
    assert np.all(np.diff(study.line_flow[:, 0]) > 0)
    few = solve_flows(network, Cases(speed=speed[::1000]))
    assert study.line_flow[::1000] == pytest.approx(few.line_flow, rel=1e-9)


def test_a_shut_main_line_stands_at_shutoff_head() -> None:
    network = build(job_of((2, "open", "0 %")))
    answer = solve_flows(network, Cases(speed=np.array([1.0, 0.5])))
    assert not answer.line_flow.any()
    shutoff = network.pump.curve.shutoff_head
    assert answer.pump_head == pytest.approx([shutoff, shutoff / 4])
    assert answer.settled.all()


def test_a_pump_out_of_its_reach_gives_nothing() -> None:
    network = build(
        parse_job(changed((10, "to", "14 ft"), (10, "length", "16 ft"), (11, "height", "14 ft")))
    )
    answer = solve_flows(network)
    assert answer.line_flow[0, 0] == 0
    assert answer.settled[0]


# Joints


def test_heads_of_joints_survive_walls_beside_open_lines() -> None:
    """A pocket between two walls: the linear network by hand, a voltage divider."""
    network = build(drawn(7, depth=1, branches=3))
    assert any(isinstance(part, Manifold) for part in network.parts)
    rng = np.random.default_rng(1)
    ease = np.exp(rng.uniform(-35, 10, (200, len(network.lines))))
    known = ease * rng.uniform(-3, 3, ease.shape)
    flow = known + ease * joint_drops(network, ease, known)
    for joint in range(network.joints):
        into = sum(flow[:, i] for i, line in enumerate(network.lines) if line.end == joint)
        out = sum(flow[:, i] for i, line in enumerate(network.lines) if line.start == joint)
        touching = [i for i, line in enumerate(network.lines) if joint in (line.start, line.end)]
        size = ease[:, touching].max(axis=1) * 3
        assert np.all(np.abs(into - out) <= 1e-9 * size)
