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
_PATIENCE, _NEARER = 15, 0.9
# Flow [m³/s] treated as none: what a kilometer of head drives through a wall.
_NOTHING = 1e-12


# Steps may diverge and are then dropped; that warrants no warning.
@np.errstate(over="ignore", invalid="ignore")
def settled(
    losses: LineLosses, flows: Array, within: float, of: NDArray[np.intp] | None = None
) -> tuple[Array, Array]:
    """Flows that balance all heads, starting from `flows`, and their residual [m], shape (n,).

    Where several rows are attempts at one case, `of`, shape (n,), gives each row's case; the first
    row that converges ends all attempts at its case.
    """
    tees_matter = bool(losses.network.forks)
    found, missed = flows.copy(), np.full(len(flows), np.inf)
    rows = np.arange(len(flows))  # cases not yet finished, and of these only:
    best, best_residual = flows, missed
    relax, before = np.ones(len(flows)), np.zeros_like(flows)
    loss, slope = losses.lines(flows)
    # A lagged step ends at the first wall.
    lagging = max(_LAGGING, int(losses.one_way.sum(axis=-1).max()))
    gained = np.full(len(flows), lagging)  # last step that reduced the residual
    for number in range(_STEPS):
        tees = losses.tees(flows)
        step = linear(losses, flows, loss + tees, slope) - flows
        residual = out_of_balance(losses, flows, step, slope)
        if number > lagging:
            gained[residual < _NEARER * best_residual] = number
        # What has settled stays, so that no case's answer depends on the others.
        better = (residual < best_residual) & (best_residual > within)
        best = np.where(better[:, None], flows, best)
        best_residual = np.where(better, residual, best_residual)
        working = (residual > within) & (best_residual > within) & (number <= gained + _PATIENCE)
        if of is not None:
            working &= ~np.isin(of[rows], of[rows[best_residual <= within]])
        # Finished cases are carried along until they are half of all: dropping them costs calls.
        if 2 * np.count_nonzero(working) <= len(rows):
            ended, left = np.flatnonzero(~working), np.flatnonzero(working)
            found[rows[ended]], missed[rows[ended]] = best[ended], best_residual[ended]
            if not len(left):
                break
            losses = losses.of(left)
            rows, gained, best_residual = rows[left], gained[left], best_residual[left]
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
        flows, loss, slope, share = advance(losses, flows, step, loss + tees, tees, relax)
        if tees_matter:  # of which a cut step says nothing
            before = np.where(share[:, None] < 1, 0.0, step)
    else:
        found[rows], missed[rows] = best, best_residual
    return found, missed


def out_of_balance(losses: LineLosses, flows: Array, step: Array, slope: Array) -> Array:
    """Largest head imbalance [m] of any line, shape (n,)."""
    heads = np.where(losses.open, np.abs(slope * step), 0.0)
    if (flows <= 0).any():
        # A line held by a wall carries nothing; its imbalance is the head that the wall holds back.
        held = losses.one_way & (flows <= 0) & (flows > -_NOTHING) & (flows + step <= 0)
        heads = np.where(held, 0.0, heads)
    # In columns, since the maximum of many short rows is slow.
    return np.asarray(np.asfortranarray(heads).max(axis=1))


def linear(losses: LineLosses, flows: Array, loss: Array, slope: Array) -> Array:
    """Flows that balance the network with each line replaced by its tangent at `flows`."""
    network = losses.network
    ease = np.where(losses.open, 1.0 / slope, 0.0)
    drop = slope * flows - loss + losses.sea  # head of the tangent at zero flow
    if network.joints:
        drop = drop + joint_drops(network, ease, ease * drop)
    return ease * drop
