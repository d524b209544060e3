"""How far a step of the solver goes: as far as the network's content falls, less where tees answer.

The content (see `solver`) is strictly convex, so its slope along a step rises all the way, and the
share of the step at which it falls no further is found between places where the slope's sign turns.
"""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.lines import LineLosses

# Places on a step that are tried at once where it is cut, and how often: each narrows the search to
# a 4096th. Of many cases few places, since most of them need no more.
_TRIED, _TRIED_OF_MANY, _FEW = (7, 4), (1, 12), 32
# Relative rounding of a sum of heads times flows, with room.
_ROUNDING = 1e-14


def aitken(relax: Array, before: Array, step: Array) -> Array:
    """Share of a step to take, where the tees lag a step behind: Aitken's delta-squared rule.

    Steps that turn back on each other are shortened, steps that point the same way are not.
    """
    change = before - step
    size = np.einsum("nl,nl->n", change, change)
    along = np.einsum("nl,nl->n", before, change)
    better = np.divide(relax * along, size, out=relax.copy(), where=size > 0)
    return np.asarray(np.where(np.any(before != 0, axis=1), np.clip(better, 0.05, 1.0), relax))


def advance(
    losses: LineLosses, flows: Array, step: Array, loss: Array, tees: Array, relax: Array
) -> tuple[Array, Array, Array, Array]:
    """Flows after the step, with the lines' losses and slopes there, and the share of it taken.

    Each case goes the share of the step, 0 to 1, along which the content falls; where that is all
    of it, `relax` of it. The content's slope along the step is the heads' imbalance times the step,
    and rises all the way; a step is taken whole where at its end that slope is no steeper than half
    the first, and otherwise cut where it is nearest zero. `loss` holds the tees' share, which stays
    as it is.
    """
    ahead = flows + step
    at_end = losses.lines(ahead)
    first = content_slope(losses, loss, step)
    # The flows balance at the joints to rounding only, and heads of metres weigh that imbalance;
    # where the step's own slope is smaller, it is taken whole.
    noise = _ROUNDING * np.einsum("nl,nl->n", np.abs(loss), np.abs(ahead))
    enough = 0.5 * np.abs(first) + noise
    cut = np.flatnonzero(content_slope(losses, at_end[0] + tees, step) > enough)
    if not len(cut) and (relax == 1).all():
        return ahead, *at_end, np.ones(len(flows))
    share = np.ones(len(flows))
    share[cut] = _cut_short(losses, cut, flows, step, tees, enough)
    flows = flows + np.where(share < 1, share, relax)[:, None] * step
    return flows, *losses.lines(flows), share


def _cut_short(
    losses: LineLosses, cut: NDArray[np.intp], flows: Array, step: Array, tees: Array, enough: Array
) -> Array:
    """Share of the step, for the cases `cut`, at which the content's slope is nearest zero.

    The share is sought between 0 and 1, at some places at once and then between two of them, until
    the slope is `enough`.
    """
    places, rounds = _TRIED if len(cut) <= _FEW else _TRIED_OF_MANY
    at = np.arange(1, places + 1) / (places + 1)
    share, low, wide = np.ones(len(cut)), np.zeros(len(cut)), 1.0
    left = np.arange(len(cut))
    for _ in range(rounds):
        if not len(left):
            break
        tried = low[left, None] + wide * at
        every = np.repeat(cut[left], places)
        few, along = losses.of(every), step[every]
        there = few.lines(flows[every] + tried.reshape(-1, 1) * along)[0] + tees[every]
        slope = content_slope(few, there, along).reshape(-1, places)
        row, nearest = np.arange(len(left)), np.abs(slope).argmin(axis=1)
        share[left] = tried[row, nearest]
        wide /= places + 1
        low[left] += wide * (slope < 0).sum(axis=1)
        left = left[np.abs(slope[row, nearest]) > enough[cut[left]]]
    return share


def content_slope(losses: LineLosses, loss: Array, step: Array) -> Array:
    """Slope of the content along the step [m⁴/s], shape (n,), where the lines take `loss`."""
    over = np.where(losses.open, loss - losses.sea, 0.0)
    return np.asarray(np.einsum("nl,nl->n", over, step))
