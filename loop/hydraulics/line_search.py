"""How far a step of the solver goes: as far as the network's content falls, less where tees answer.

The content (see `solver`) is strictly convex, so its slope along a step rises all the way, and the
share of the step at which it falls no further is found between places where the slope's sign turns.
"""

import numpy as np

from loop.curve import Array
from loop.hydraulics.lines import LineLosses

# Places on a step that are tried at once where it is cut, and how often: to a 4096th of it.
_PLACES, _ROUNDS = 3, 6
# How far past a wall a step goes that is to be held by it, over its length.
_HAIR = 1e-9
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
    # where the step's own slope is smaller, or is said to rise, which it cannot, it is taken whole.
    noise = _ROUNDING * np.einsum("nl,nl->n", np.abs(loss), np.abs(ahead))
    enough = 0.5 * np.abs(first) + noise
    rising = content_slope(losses, at_end[0] + tees, step) > enough
    cut = np.flatnonzero(rising & (first < 0))
    share = np.ones(len(flows))
    if len(cut):
        share[cut] = _cut_short(losses.of(cut), flows[cut], step[cut], tees[cut], enough[cut])
    taken = np.where(share < 1, share, relax)
    moved = np.flatnonzero(taken != 1)
    if len(moved) < len(flows):
        lost, slope = at_end
        ahead[moved] = flows[moved] + taken[moved, None] * step[moved]
        if len(moved):
            lost[moved], slope[moved] = losses.of(moved).lines(ahead[moved])
        return ahead, lost, slope, share
    flows = flows + taken[:, None] * step
    return flows, *losses.lines(flows), share


def _cut_short(losses: LineLosses, flows: Array, step: Array, tees: Array, enough: Array) -> Array:
    """Share of the step, shape (n,), at which the content's slope is within `enough` of zero.

    Where a line would turn back against a wall the content falls no further than to that wall;
    where it falls so far, the share is a hair past it, so that the next step knows of it. Otherwise
    the share is sought before the wall, at some places at once and then between two of them.
    """
    share = wide = _wall_ahead(losses, flows, step)
    slope = content_slope(losses, losses.lines(flows + share[:, None] * step)[0] + tees, step)
    share = np.where((slope < 0) & (share < 1), share * (1 + _HAIR), share)
    left = np.flatnonzero(slope > enough)
    low = np.zeros(len(flows))
    for _ in range(_ROUNDS):
        if not len(left):
            break
        wide = wide / (_PLACES + 1)
        tried = low[left, None] + wide[left, None] * np.arange(1, _PLACES + 1)
        every = np.repeat(left, _PLACES)
        few, along = losses.of(every), step[every]
        there = few.lines(flows[every] + tried.reshape(-1, 1) * along)[0] + tees[every]
        slope = content_slope(few, there, along).reshape(-1, _PLACES)
        row, nearest = np.arange(len(left)), np.abs(slope).argmin(axis=1)
        share[left] = tried[row, nearest]
        low[left] += wide[left] * (slope < 0).sum(axis=1)
        left = left[np.abs(slope[row, nearest]) > enough[left]]
    return share


def _wall_ahead(losses: LineLosses, flows: Array, step: Array) -> Array:
    """Share of the step, at most 1, at which a line that lets none back would first turn back."""
    turning = losses.one_way & (flows > 0) & (flows + step < 0)
    share = np.divide(-flows, step, out=np.ones_like(flows), where=turning)
    return np.asarray(share.min(axis=1))


def content_slope(losses: LineLosses, loss: Array, step: Array) -> Array:
    """Slope of the content along the step [m⁴/s], shape (n,), where the lines take `loss`.

    The content is Millar's (Phil. Mag. 42 (1951) 1150, from memory): head summed over flow.
    """
    over = np.where(losses.open, loss - losses.sea, 0.0)
    return np.asarray(np.einsum("nl,nl->n", over, step))
