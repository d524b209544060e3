"""Steps from some flows of a network to those that balance all its heads.

Every line's loss rises with its flow, so the flows that balance all heads are the one minimum of a
strictly convex function, the network's content (Birkhoff & Diaz, Quart. Appl. Math. 13 (1956) 431;
Collins, Cooper, Helgason, Kennington & LeBlanc, Management Science 24 (1978) 747). Each step
replaces the lines by their tangents, solves the linear network for the heads of its joints, and
goes along that direction as far as the content falls: a Newton method with a line search, which
converges from any start. The tees of manifolds, whose losses depend on the split and are no part of
a content, are taken at the flows of the step before, and steps are shortened where that makes the
balance worse; the few networks that have not come to rest after some steps of this take some with
the tees' own slopes in each (`coupled_newton`).
"""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.coupled_newton import coupled_step
from loop.hydraulics.effort import spend
from loop.hydraulics.line_search import advance, aitken
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.nodes import joint_drops

# The most steps, and those at the beginning in which the tees lag one behind, which are all that
# most networks need; one a line that lets none back where there are more. The others take the tees'
# own slopes, and go astray where they begin with lines on the wrong side of their walls.
_STEPS, _LAGGING = 120, 15
# After those, so many steps may pass without coming nearer, by this factor at least.
_PATIENCE, _NEARER = 15, 0.9
# Flow [m³/s] that is none: what heads of a kilometre drive through a wall.
_NOTHING = 1e-12


# Steps may go astray, to be given up; that is no warning to anyone.
@np.errstate(over="ignore", invalid="ignore")
def settled(
    losses: LineLosses, flows: Array, within: float, of: NDArray[np.intp] | None = None
) -> tuple[Array, Array]:
    """Flows that balance all heads, from `flows` on, and by how much [m] they miss, shape (n,).

    Where several are tries `of` one case, (n,), the case's number, the first that settles ends all.
    """
    tees_matter = bool(losses.network.forks)
    best: Array = flows.copy()
    best_residual: Array = np.full(len(flows), np.inf)
    rows = np.arange(len(flows))  # the cases still at work
    relax, before = np.ones(len(flows)), np.zeros_like(flows)
    loss, slope = losses.lines(flows)
    # A step of these goes no farther than to the next wall.
    lagging = max(_LAGGING, int(losses.one_way.sum(axis=-1).max()))
    gained = np.full(len(flows), lagging)  # the step that last came nearer
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
        # A step cut short says nothing of how the tees answer.
        before = np.where(share[:, None] < 1, 0.0, step)
    return best, best_residual


def out_of_balance(losses: LineLosses, flows: Array, step: Array, slope: Array) -> Array:
    """Largest head [m] by which any line is out of balance, shape (n,)."""
    heads = np.where(losses.open, np.abs(slope * step), 0.0)
    # Behind a wall a line carries nothing, and its imbalance is what it holds back.
    held = losses.one_way & (flows <= 0) & (flows > -_NOTHING) & (flows + step <= 0)
    return np.asarray(np.max(np.where(held, 0.0, heads), axis=1))


def linear(losses: LineLosses, flows: Array, loss: Array, slope: Array) -> Array:
    """Flows that balance the network whose lines are replaced by their tangents at `flows`."""
    network = losses.network
    ease = np.where(losses.open, 1.0 / slope, 0.0)
    drop = slope * flows - loss + losses.sea  # head that the tangent gives at no flow
    return ease * (drop + joint_drops(network, ease, ease * drop))
