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
    best: Array = flows.copy()
    best_residual: Array = np.full(len(flows), np.inf)
    rows = np.arange(len(flows))  # cases not yet finished
    relax, before = np.ones(len(flows)), np.zeros_like(flows)
    loss, slope = losses.lines(flows)
    # A lagged step ends at the first wall.
    lagging = max(_LAGGING, int(losses.one_way.sum(axis=-1).max()))
    gained = np.full(len(flows), lagging)  # last step that reduced the residual
    for number in range(_STEPS):
        tees = losses.tees(flows)
        step = linear(losses, flows, loss + tees, slope) - flows
        residual = out_of_balance(losses, flows, step, slope)
        gained[rows[residual < _NEARER * best_residual[rows]]] = max(number, lagging)
        better = residual < best_residual[rows]
        best[rows[better]], best_residual[rows[better]] = flows[better], residual[better]
        working = (residual > within) & (number <= gained[rows] + _PATIENCE)
        if of is not None:
            working &= ~np.isin(of[rows], of[best_residual <= within])
        if not working.any():
            break
        if not working.all():
            losses, rows, relax, before = (
                losses.of(working),
                rows[working],
                relax[working],
                before[working],
            )
            flows, step, loss, tees = flows[working], step[working], loss[working], tees[working]
            slope = slope[working]
        coupled = tees_matter and number >= lagging
        spend(flows.size, coupled)
        if coupled:
            flows = coupled_step(losses, flows, loss + tees, slope)
            loss, slope = losses.lines(flows)
            continue
        relax = aitken(relax, before, step) if tees_matter else relax
        flows, loss, slope, share = advance(losses, flows, step, loss + tees, tees, relax)
        # A cut step says nothing about how the tees respond.
        before = np.where(share[:, None] < 1, 0.0, step)
    return best, best_residual


def out_of_balance(losses: LineLosses, flows: Array, step: Array, slope: Array) -> Array:
    """Largest head imbalance [m] of any line, shape (n,)."""
    heads = np.where(losses.open, np.abs(slope * step), 0.0)
    # A line held by a wall carries nothing; its imbalance is the head that the wall holds back.
    held = losses.one_way & (flows <= 0) & (flows > -_NOTHING) & (flows + step <= 0)
    return np.asarray(np.max(np.where(held, 0.0, heads), axis=1))


def linear(losses: LineLosses, flows: Array, loss: Array, slope: Array) -> Array:
    """Flows that balance the network with each line replaced by its tangent at `flows`."""
    network = losses.network
    ease = np.where(losses.open, 1.0 / slope, 0.0)
    drop = slope * flows - loss + losses.sea  # head of the tangent at zero flow
    return ease * (drop + joint_drops(network, ease, ease * drop))
