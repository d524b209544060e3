"""Linear networks by hand: flow dividers, like current in resistors."""

import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics import Network, build
from loop.hydraulics.nodes import joint_drops
from tests.loops import job_of
from tests.random_jobs import random_job
from tests.test_network import overboard, rejoining


def flows(network: Network, ease: list[list[float]], head: list[float]) -> Array:
    """Flows when each case's head [m] drives the first line, which comes from the sea."""
    eases = np.array(ease)
    known = np.zeros_like(eases)
    known[:, 0] = eases[:, 0] * np.array(head)
    return known + eases * joint_drops(network, eases, known)


def test_one_joint_divides_the_flow_by_the_ease_of_its_ways_out() -> None:
    """6 m across conductance 1, then 2 and 3 in parallel: joint at 1 m; flows 5, 2 and 3."""
    found = flows(overboard(), [[1.0, 2.0, 3.0], [1.0, 2.0, 0.0], [1.0, 0.0, 1.0]], [6.0, 6.0, 6.0])
    # With the third shut 6 (1/1 + 1/2)⁻¹ = 4; with the second shut 6/2 = 3.
    assert found == pytest.approx(np.array([[5.0, 2.0, 3.0], [4.0, 4.0, 0.0], [3.0, 0.0, 3.0]]))


def test_two_joints_with_lines_side_by_side_between_them() -> None:
    """Conductances 1, then 1 and 2 in parallel, then 3/2: resistance 1 + 1/3 + 2/3 = 2."""
    found = flows(rejoining(), [[1.0, 1.0, 2.0, 1.5], [1.0, 1.0, 0.0, 1.0]], [2.0, 6.0])
    # With one of the two shut, three lines of one in a row.
    assert found == pytest.approx(np.array([[1.0, 1 / 3, 2 / 3, 1.0], [2.0, 2.0, 0.0, 2.0]]))


def test_heads_on_inner_lines_drive_them_round() -> None:
    """3 m in one of two equal lines between the joints, the rest shut: 3/(1/1 + 1/2) = 2."""
    network = rejoining()
    ease = np.array([[0.0, 1.0, 2.0, 0.0]])
    known = np.array([[0.0, 3.0, 0.0, 0.0]])
    assert known + ease * joint_drops(network, ease, known) == pytest.approx(
        np.array([[0.0, 2.0, -2.0, 0.0]])
    )


def test_without_joints_there_is_nothing_to_share() -> None:
    network = build(job_of())
    assert not joint_drops(network, np.ones((3, 1)), np.ones((3, 1))).any()


def test_a_joint_that_only_shut_lines_reach_has_some_head() -> None:
    drops = joint_drops(overboard(), np.zeros((2, 3)), np.zeros((2, 3)))
    assert np.isfinite(drops).all()


@pytest.mark.parametrize("seed", range(40))
def test_a_case_by_itself_has_the_heads_that_it_has_among_others(seed: int) -> None:
    rng = np.random.default_rng([seed, 5])
    network = build(random_job(rng, branches=4, depth=2))
    shape = (3, len(network.lines))
    ease = 10 ** rng.uniform(-6, 1, shape) * (rng.random(shape) < 0.9)
    known = rng.normal(size=shape) * ease
    together = joint_drops(network, ease, known)
    for row in range(3):
        alone = joint_drops(network, ease[row : row + 1], known[row : row + 1])
        size = np.abs(together[row]).max()
        assert alone[0] == pytest.approx(together[row], rel=1e-12, abs=1e-11 * size)
