"""Newton iteration from starting flows of a network to flows that balance all heads.

Every line's loss rises with its flow, so the flows that balance all heads are the unique minimum of
a strictly convex function, the network's content (Birkhoff & Diaz, Quart. Appl. Math. 13 (1956)
431; Collins, Cooper, Helgason, Kennington & LeBlanc, Management Science 24 (1978) 747). Each step
replaces the lines by their tangents, solves the linear network for the heads at its joints, and
moves in that direction as far as the content falls: Newton's method with a line search, which
converges from any start. Tee losses depend on the flow split and have no content; they lag one step
behind, and steps are shortened where that makes the balance worse. The few networks that have not
converged after some such steps continue with steps that include the tees' own slopes
(`coupled_newton`).
"""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.coupled_newton import coupled_step
from loop.hydraulics.effort import spend
from loop.hydraulics.line_search import advance, aitken
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.nodes import joint_drops

# Maximum number of steps, and of first steps with lagged tee losses, which are enough for most
# networks; one per one-way line where there are more of these. Later steps include the tees'
# slopes, and diverge if they start with lines on the wrong side of their walls.
_STEPS, _LAGGING = 120, 15
# After the lagged steps: the number of steps allowed without reducing the residual to this factor.
_PATIENCE, _LEAST_GAIN = 15, 0.9
# Flow [m³/s] treated as none: what a kilometer of head drives through a wall.
_ZERO_FLOW = 1e-12


# Steps may diverge and are then dropped; that warrants no warning.
@np.errstate(over="ignore", invalid="ignore")
def newton_solve(
    losses: LineLosses, flows: Array, tolerance: float, case_of: NDArray[np.intp] | None = None
) -> tuple[Array, Array]:
    """Flows that balance all heads, starting from `flows`, and their residual [m], shape (n,).

    Where several rows are attempts at one case, `case_of`, shape (n,), gives each row's case; the
    first row that converges ends all attempts at its case.
    """
    tees_matter = bool(losses.network.forks)
    found, residuals = flows.copy(), np.full(len(flows), np.inf)
    rows = np.arange(len(flows))  # cases not yet finished, and of these only:
    best, best_residual = flows, residuals
    relax, before = np.ones(len(flows)), np.zeros_like(flows)
    loss, slope = losses.lines(flows)
    # A lagged step ends at the first wall.
    lagging = max(_LAGGING, int(losses.one_way.sum(axis=-1).max()))
    last_gain = np.full(len(flows), lagging)  # last step that reduced the residual
    for number in range(_STEPS):
        tees = losses.tees(flows)
        step = linearized_flows(losses, flows, loss + tees, slope) - flows
        residual = head_imbalance(losses, flows, step, slope)
        if number > lagging:
            last_gain[residual < _LEAST_GAIN * best_residual] = number
        # What has settled stays, so that no case's answer depends on the others.
        better = (residual < best_residual) & (best_residual > tolerance)
        best = np.where(better[:, None], flows, best)
        best_residual = np.where(better, residual, best_residual)
        working = (
            (residual > tolerance) & (best_residual > tolerance) & (number <= last_gain + _PATIENCE)
        )
        if case_of is not None:
            working &= ~np.isin(case_of[rows], case_of[rows[best_residual <= tolerance]])
        # Finished cases are carried along until they are half of all: dropping them costs calls.
        if 2 * np.count_nonzero(working) <= len(rows):
            ended, left = np.flatnonzero(~working), np.flatnonzero(working)
            found[rows[ended]], residuals[rows[ended]] = best[ended], best_residual[ended]
            if not len(left):
                break
            losses = losses.subset(left)
            rows, last_gain, best_residual = rows[left], last_gain[left], best_residual[left]
            relax, before, best = relax[left], before[left], best[left]
            flows, step, loss, tees = flows[left], step[left], loss[left], tees[left]
            slope = slope[left]
        coupled = tees_matter and number >= lagging
        spend(flows.size, coupled)
        if coupled:
            flows = coupled_step(losses, flows, loss + tees, slope)
            loss, slope = losses.lines(flows)
            continue
        relax = aitken(relax, before, step) if tees_matter else relax
        flows, loss, slope, length = advance(losses, flows, step, loss + tees, tees, relax)
        if tees_matter:  # of which a cut step says nothing
            before = np.where(length[:, None] < 1, 0.0, step)
    else:
        found[rows], residuals[rows] = best, best_residual
    return found, residuals


def head_imbalance(losses: LineLosses, flows: Array, step: Array, slope: Array) -> Array:
    """Largest head imbalance [m] of any line, shape (n,)."""
    heads = np.where(losses.open, np.abs(slope * step), 0.0)
    if (flows <= 0).any():
        # A line held by a wall carries nothing; its imbalance is the head that the wall holds back.
        held = losses.one_way & (flows <= 0) & (flows > -_ZERO_FLOW) & (flows + step <= 0)
        heads = np.where(held, 0.0, heads)
    # In columns, since the maximum of many short rows is slow.
    return np.asarray(np.asfortranarray(heads).max(axis=1))


def linearized_flows(losses: LineLosses, flows: Array, loss: Array, slope: Array) -> Array:
    """Flows that balance the network with each line replaced by its tangent at `flows`."""
    network = losses.network
    conductance = np.where(losses.open, 1.0 / slope, 0.0)
    drop = slope * flows - loss + losses.sea  # head of the tangent at zero flow
    if network.joints:
        drop = drop + joint_drops(network, conductance, conductance * drop)
    return conductance * drop
