"""A network's tangents solved manifold by manifold equal one system of all of them."""

from fractions import Fraction

import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics import Network, build
from loop.hydraulics.coupled_newton import TangentSystem
from loop.hydraulics.lines import LineLosses, initial_flows
from tests.random_jobs import random_cases, random_job
from tests.tee_slopes import by_line
from tests.test_balance import many
from tests.test_flow_paths import SHUT, nested
from tests.test_network import overboard, rejoining

WALL = 1e-17  # ease of a line that lets none back


def all_at_once(network: Network, ease: Array, tees: Array) -> Array:
    """Matrix of one case: a row per line, then per joint; an isolated joint may have any head.

    Heads are scaled to the flow that they drive through the joint's widest line.
    """
    lines = len(network.lines)
    leaving, returning = by_line(network.forks, lines, tees[None])
    matrix = np.zeros((lines + network.joints, lines + network.joints))
    matrix[:lines, :lines] = np.eye(lines) + ease[:, None] * (leaving + returning)[0]
    for number, line in enumerate(network.lines):
        for joint, sign in ((line.start, -1.0), (line.end, 1.0)):
            if joint >= 0:
                matrix[lines + joint, number] = sign
                matrix[number, lines + joint] = sign * ease[number]
    for joint in range(network.joints):
        column = matrix[:, lines + joint]
        widest = np.abs(column).max()
        column /= widest or 1.0
        column[lines + joint] = float(widest == 0)
    return matrix


def states(network: Network, seed: int, count: int = 30) -> tuple[Array, Array, Array]:
    """Inverse slopes of lines, slopes of tees, and residuals, at random flows, some backwards."""
    rng = np.random.default_rng(seed)
    losses = LineLosses(network, random_cases(rng, network, count), exact=False)
    flows = initial_flows(losses) * rng.uniform(-0.2, 1.5, (count, len(network.lines)))
    ease = np.where(losses.open, 1.0 / losses.lines(flows)[1], 0.0)
    missing = 1e-4 * rng.standard_normal(flows.shape) * losses.open
    return ease, losses.tee_slopes(flows), missing


NETWORKS = {
    "overboard": overboard().full,
    "rejoining": rejoining().full,
    "five branches": build(many(5)).full,
    "nested": nested().full,
    "nested, one shut": nested(SHUT).full,
} | {
    f"random {seed}": network
    for seed in range(20)
    for network in [build(random_job(np.random.default_rng(seed), 3, 3)).full]
    if network.forks
}


@pytest.mark.parametrize("network", NETWORKS.values(), ids=NETWORKS)
def test_steps_are_those_of_all_tangents_at_once(network: Network) -> None:
    """If no line is walled off, to rounding: then no joint's head is undetermined."""
    ease, tees, missing = states(network, 1)
    ease = np.where((ease > 0) & (ease < 1e-9), 1e-9, ease)
    lines = len(network.lines)
    steps = TangentSystem(network, ease, tees).steps(missing)
    for row in range(len(ease)):
        sides = np.concatenate([missing[row], np.zeros(network.joints)])
        matrix = all_at_once(network, ease[row], tees[row])
        right = np.linalg.solve(matrix, sides)[:lines]
        off = 1e-13 * np.linalg.cond(matrix) * np.abs(right).max()
        assert steps[row] == pytest.approx(right, abs=off)


def exactly(matrix: Array, sides: Array) -> list[float]:
    """Solution of a system in exact fractions."""
    rows = [
        [Fraction(float(x)) for x in (*row, side)] for row, side in zip(matrix, sides, strict=True)
    ]
    for number in range(len(rows)):
        pivot = next(i for i in range(number, len(rows)) if rows[i][number])
        rows[number], rows[pivot] = rows[pivot], rows[number]
        rows[number] = [x / rows[number][number] for x in rows[number]]
        for other in range(len(rows)):
            if other != number and rows[other][number]:
                share = rows[other][number]
                pairs = zip(rows[other], rows[number], strict=True)
                rows[other] = [x - share * y for x, y in pairs]
    return [float(row[-1]) for row in rows]


@pytest.mark.parametrize("name", ["overboard", "rejoining", "nested", "nested, one shut"])
def test_walls_hold_what_heads_of_meters_drive(name: str) -> None:
    """Check valves at random: whatever is between two of them still has a head, and the flow past
    them is no more than rounding beside what flows elsewhere."""
    network, rng = NETWORKS[name], np.random.default_rng(7)
    ease, tees, _ = states(network, 2, 20)
    ease = np.where((ease > 0) & (rng.random(ease.shape) < 0.4), WALL, ease)
    missing = ease * rng.uniform(-1, 1, ease.shape)
    steps = TangentSystem(network, ease, tees).steps(missing)
    for row in range(len(ease)):
        matrix = all_at_once(network, ease[row], tees[row])
        right = exactly(matrix, np.concatenate([missing[row], np.zeros(network.joints)]))
        most = np.abs(missing[row]).max()
        assert steps[row] == pytest.approx(right[: len(network.lines)], abs=1e-14 * most)


def test_tangents_that_are_none_give_no_steps_and_leave_the_others_alone() -> None:
    network = NETWORKS["nested"]
    ease, tees, missing = states(network, 3, 2)
    alone = TangentSystem(network, ease[:1], tees[:1]).steps(missing[:1])
    tees[1] = np.nan
    both = TangentSystem(network, ease, tees).steps(missing)
    assert np.array_equal(both[0], alone[0])
    assert np.isfinite(both).all()


def test_some_of_the_cases_have_the_steps_that_they_have_among_all() -> None:
    network = NETWORKS["nested, one shut"]
    ease, tees, missing = states(network, 4)
    system, rows = TangentSystem(network, ease, tees), np.array([7, 2])
    assert np.array_equal(system.subset(rows).steps(missing[rows]), system.steps(missing)[rows])
