"""The Newton step with the tees' own slopes: close to the answer it converges at once.

Farther off, a line search shortens it to a step that comes closer to the answer.
"""

import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.lines import LineLosses, initial_flows
from loop.job import parse_job
from tests.coupled import stepped
from tests.second_fuzz.loops import Boat
from tests.test_balance import many
from tests.test_flow_paths import SHUT, nested
from tests.test_network import overboard, rejoining


@pytest.mark.parametrize("network", [overboard(), rejoining(), build(many(3))])
@pytest.mark.parametrize("off", [0.97, 1.03])
def test_from_three_hundredths_off_a_step_leaves_a_tenth_of_it(
    network: Network, off: float
) -> None:
    """Newton's method: the remaining error is quadratic. Flows still balance."""
    flows = solve_flows(network).line_flow
    losses = LineLosses(network, Cases(), exact=False)
    for start in (off, 1.0):
        after = stepped(losses, start * flows)
        error = np.max(np.abs(after / flows - 1))
        assert error <= abs(start - 1) / 10 + 1e-6
        for joint in range(network.joints):
            into = sum(after[:, i] for i, line in enumerate(network.lines) if line.end == joint)
            out = sum(after[:, i] for i, line in enumerate(network.lines) if line.start == joint)
            assert into == pytest.approx(out, rel=1e-9)


class Balance:
    """Heads along lines and flows at joints as one system, with tangents by differences."""

    def __init__(self, losses: LineLosses) -> None:
        self.losses, self.network = losses, losses.network
        ends = [(line.start, line.end) for line in self.network.lines]
        self.joined = np.array(
            [[float(b == j) - float(a == j) for a, b in ends] for j in range(self.network.joints)]
        )

    def missing(self, flows: Array) -> Array:
        """Head that each line takes beyond the sea's, then flow that each joint is short of."""
        row = flows[None, :]
        over = self.losses.lines(row)[0] + self.losses.tees(row) - self.losses.sea
        return np.concatenate([over[0], self.joined @ flows])

    def solved(self, at: Array, missing: Array) -> Array:
        """Change of the flows that removes the residual, with the tangents at a point."""
        lines, joints = len(at), self.network.joints
        tangents = np.zeros((lines + joints, lines + joints))
        for i in range(lines):
            shift = np.zeros(lines)
            shift[i] = 1e-6 * at[i]
            change = self.missing(at + shift) - self.missing(at - shift)
            tangents[:, i] = change / (2 * shift[i])
        tangents[:lines, lines:] = self.joined.T
        return np.linalg.solve(tangents, -missing)[:lines]


@pytest.mark.parametrize("network", [overboard(), rejoining(), build(many(3))])
def test_a_step_is_the_longest_share_of_newtons_that_brings_the_answer_nearer(
    network: Network,
) -> None:
    """Step lengths halve until the tangents' next step is shorter (Deuflhard's natural test).

    From far below the answer to far above, all at once: each case has its own step length.
    """
    balance = Balance(LineLosses(network, Cases(), exact=False))
    # No split here is at a corner of a tee's table.
    guess = 0.63 * initial_flows(balance.losses) + 0.37 * solve_flows(network).line_flow
    flows = np.array([[0.01], [0.1], [0.9], [3.0], [20.0]]) * guess
    losses = LineLosses(network, Cases(speed=np.ones(len(flows))), exact=False)
    went = []
    for before, after in zip(flows, stepped(losses, flows), strict=True):
        newton = balance.solved(before, balance.missing(before))
        size = float(np.linalg.norm(newton))
        for share in 0.5 ** np.arange(8):
            follows = balance.solved(before, balance.missing(before + share * newton))
            if np.linalg.norm(follows) <= (1 - share / 4) * size:
                break
        assert after - before == pytest.approx(share * newton, rel=1e-6, abs=1e-8 * size)
        went.append(share)
    assert min(went) < max(went) == 1


def test_a_shut_line_takes_no_step() -> None:
    """Nor does one behind it; the others converge as usual."""
    network = nested(SHUT).full
    answer = solve_flows(network).line_flow
    shut = [line.shut for line in network.lines]
    assert any(shut)
    after = stepped(LineLosses(network, Cases(), exact=False), 0.97 * answer)
    assert np.all(after[:, shut] == 0)
    assert after == pytest.approx(answer, rel=3e-3)


@pytest.mark.parametrize("seed", [3016, 5001])
def test_walls_let_no_more_through_than_heads_of_meters_drive(seed: int) -> None:
    """Check valves shut at random in a knotted network: what is between two of them has a head too.

    A wall lets 1e-17 m³/s through per meter; rounding beside what flows elsewhere would be more.
    """
    network, rng = build(parse_job(Boat(seed).job())), np.random.default_rng(seed)
    losses = LineLosses(network, Cases(speed=np.ones(20)), exact=False)
    flows = initial_flows(losses) * rng.uniform(0.5, 1.5, (20, len(network.lines)))
    held = losses.one_way & losses.open & (rng.random(flows.shape) < 0.4)
    flows[held] = -1e-20
    after = stepped(losses, flows)
    heads = np.abs(losses.lines(flows)[0] + losses.tees(flows) - losses.sea)[:, losses.open]
    assert np.abs(after[held]).max() <= 2e-17 * heads.max()
    for joint in range(network.joints):
        into, out = network.ends == joint, network.starts == joint
        before, left = (
            np.abs(some[:, into].sum(axis=1) - some[:, out].sum(axis=1)) for some in (flows, after)
        )
        assert (left <= before + 1e-12).all()


def test_a_case_gone_astray_takes_none_of_the_others_along() -> None:
    """Flows of 1e300 m³/s have no finite tangents."""
    network = rejoining().full
    answer = solve_flows(network).line_flow
    flows = np.concatenate([0.99 * answer, np.full_like(answer, 1e300)])
    losses = LineLosses(network, Cases(speed=np.ones(2)), exact=False)
    with np.errstate(over="ignore", invalid="ignore"):
        after = stepped(losses, flows)
    assert np.abs(after[0] - answer[0]).max() < 0.002 * np.abs(answer).max()
