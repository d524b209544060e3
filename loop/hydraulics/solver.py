"""The flows of a network: many cases at once, or one on the exact functions.

Every line's loss rises with its flow, so the flows that balance all heads are the one minimum of a
strictly convex function, the network's content (Birkhoff & Diaz, Quart. Appl. Math. 13 (1956) 431;
Collins, Cooper, Helgason, Kennington & LeBlanc, Management Science 24 (1978) 747). Each step
replaces the lines by their tangents, solves the linear network for the heads of its joints, and
goes along that direction as far as the content falls: a Newton method with a line search, which
converges from any start. The tees of manifolds, whose losses depend on the split, are taken at the
flows of the step before, and steps are shortened where that makes the balance worse.
"""

from dataclasses import dataclass

import numpy as np

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.lines import LineLosses, first_guess, pump_head
from loop.hydraulics.network import SEA_IN, SEA_OUT, Network

_STEPS = 150
_HALVINGS = 12
# Relative rounding of a sum of heads times flows, with room.
_ROUNDING = 1e-14
# Heads closer than this [m] are balanced.
_BALANCED = 1e-9


@dataclass(frozen=True)
class Flows:
    """Answer of the solver for n cases.

    line_flow : shape (n, lines) [m³/s]; pump_head : (n,) [m]; residual : (n,), the largest head by
    which any line is out of balance [m]; settled : (n,), whether that is within what was asked.
    """

    line_flow: Array
    pump_head: Array
    residual: Array
    settled: "np.ndarray[tuple[int], np.dtype[np.bool_]]"


def solve_flows(
    network: Network, cases: Cases | None = None, exact: bool = False, start: Array | None = None
) -> Flows:
    """Flows of all lines of a network, in every case.

    Parameters
    ----------
    network : Network
    cases : Cases, optional
        Factors, one row a case; the job as it stands where left out.
    exact : bool
        Take each part's loss from its own function at each step, instead of from its table (which
        lies within 0.1 % of it). For a single answer; studies use the tables.
    start : array, shape (n, lines), optional
        Flows to start from; they must balance at every joint.

    Returns
    -------
    Flows
        Exact in mass by construction. A case that does not settle within the step limit is marked,
        never raised.
    """
    cases = cases or Cases()
    losses = LineLosses(network, cases, exact)
    if not losses.open[network.pump_line]:
        return _standing(network, cases)
    n, lines = losses.n, network.lines
    flows = first_guess(network, losses, n) if start is None else start.copy()
    head_in = network.start_head + cases.spread("extra_head")
    relax, before = np.ones(n), np.zeros_like(flows)
    best: Array = flows.copy()
    best_residual: Array = np.full(n, np.inf)
    active = np.ones(n, dtype=bool)
    for _ in range(_STEPS):
        tees = losses.tees(flows)
        loss, slope = _all_lines(losses, flows)
        loss = loss + tees
        target = _linear(network, losses, flows, loss, slope, head_in)
        step = np.where(active[:, None], target - flows, 0.0)
        out_of_balance = np.where(losses.open, np.abs(slope * step), 0.0)
        one_way = np.array([line.one_way for line in lines])
        # Behind a wall a line carries nothing, and its imbalance is what it holds back.
        held = one_way & (flows <= 0) & (target <= 0)
        residual = np.max(np.where(held, 0.0, out_of_balance), axis=1)
        better = active & (residual < best_residual)
        best[better], best_residual[better] = flows[better], residual[better]
        active &= residual > _BALANCED
        if not active.any():
            break
        relax = _aitken(relax, before, step) if network.forks else relax
        before = step
        share = _how_far(network, losses, flows, step, loss, tees, head_in)
        flows = flows + (share * relax)[:, None] * step
    flows = np.where(np.abs(best) < 1e-13, 0.0, best)
    head, _ = pump_head(network, cases, flows[:, network.pump_line])
    return Flows(flows, head, best_residual, best_residual < 1e-8)


def _aitken(relax: Array, before: Array, step: Array) -> Array:
    """Share of a step to take, where the tees lag a step behind: Aitken's delta-squared rule.

    Steps that turn back on each other are shortened, steps that point the same way are not.
    """
    change = step - before
    size = np.einsum("nl,nl->n", change, change)
    along = -np.einsum("nl,nl->n", before, change)
    better = np.divide(relax * along, size, out=relax.copy(), where=size > 0)
    return np.asarray(np.where(np.any(before != 0, axis=1), np.clip(better, 0.05, 1.0), relax))


def _all_lines(losses: LineLosses, flows: Array) -> tuple[Array, Array]:
    both = [losses.line(i, flows[:, i]) for i in range(flows.shape[1])]
    return np.stack([b[0] for b in both], axis=1), np.stack([b[1] for b in both], axis=1)


def _linear(
    network: Network, losses: LineLosses, flows: Array, loss: Array, slope: Array, head_in: Array
) -> Array:
    """Flows that balance the network whose lines are replaced by their tangents at `flows`."""
    ease = np.where(losses.open, 1.0 / slope, 0.0)
    rest = loss - slope * flows  # head that the tangent takes at no flow
    n, joints = len(flows), network.joints
    matrix, right = np.zeros((n, joints, joints)), np.zeros((n, joints))
    fixed_in = np.zeros_like(flows)
    fixed_out = np.zeros_like(flows)
    for i, line in enumerate(network.lines):
        a, b = line.start, line.end
        if a == SEA_IN:
            fixed_in[:, i] = head_in
        else:
            matrix[:, a, a] += ease[:, i]
        if b == SEA_OUT:
            fixed_out[:, i] = line.outlet_head
        else:
            matrix[:, b, b] += ease[:, i]
        if a >= 0 and b >= 0:
            matrix[:, a, b] -= ease[:, i]
            matrix[:, b, a] -= ease[:, i]
        known = ease[:, i] * (fixed_in[:, i] - fixed_out[:, i] - rest[:, i])
        if a >= 0:
            right[:, a] -= known
        if b >= 0:
            right[:, b] += known
    heads = np.zeros((n, joints))
    if joints:
        # A joint that only shut lines reach has no head of its own; any number will do.
        diagonal = np.einsum("nii->ni", matrix)
        diagonal[diagonal == 0] = 1.0
        heads[:] = np.linalg.solve(matrix, right[:, :, None])[:, :, 0]
    drop = fixed_in - fixed_out
    for i, line in enumerate(network.lines):
        if line.start >= 0:
            drop[:, i] += heads[:, line.start]
        if line.end >= 0:
            drop[:, i] -= heads[:, line.end]
    return ease * (drop - rest)


def _how_far(
    network: Network,
    losses: LineLosses,
    flows: Array,
    step: Array,
    loss: Array,
    tees: Array,
    head_in: Array,
) -> Array:
    """Share of the step, 0 to 1, along which the content falls, for each case.

    The content's slope along the step is the heads' imbalance times the step, and rises all the
    way; a step is taken whole where at its end that slope is no steeper than half the first, and
    otherwise cut where it is nearest zero.
    """

    def slope_of(loss: Array) -> Array:
        total: Array = np.einsum("nl,nl->n", np.where(losses.open, loss, 0.0), step)
        for i, line in enumerate(network.lines):
            if line.start == SEA_IN:
                total = total - head_in * step[:, i]
            if line.end == SEA_OUT:
                total = total + line.outlet_head * step[:, i]
        return total

    def slope_at(share: Array) -> Array:
        return slope_of(_all_lines(losses, flows + share[:, None] * step)[0] + tees)

    n = len(flows)
    low, high = np.zeros(n), np.ones(n)
    first, last = slope_of(loss), slope_at(high)
    share = np.ones(n)
    # The flows balance at the joints to rounding only, and heads of metres weigh that imbalance;
    # where the step's own slope is smaller, it is taken whole.
    noise = _ROUNDING * np.einsum("nl,nl->n", np.abs(loss), np.abs(flows) + np.abs(step))
    cut = last > 0.5 * np.abs(first) + noise
    for _ in range(_HALVINGS):
        if not cut.any():
            break
        middle = np.where(cut, (low + high) / 2, share)
        at = slope_at(middle)
        share = np.where(cut, middle, share)
        low = np.where(cut & (at < 0), middle, low)
        high = np.where(cut & (at >= 0), middle, high)
        cut = cut & (np.abs(at) > 0.5 * np.abs(first) + noise)
    return share


def _standing(network: Network, cases: Cases) -> Flows:
    """The answer where the main line is shut: no flow, and the pump at its shut-off head."""
    n = cases.count
    still = np.zeros((n, len(network.lines)))
    head, _ = pump_head(network, cases, still[:, network.pump_line])
    return Flows(still, head, np.zeros(n), np.ones(n, dtype=bool))
