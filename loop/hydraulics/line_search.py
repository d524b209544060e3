"""Line search: the step length that minimizes the content, shortened where tees respond.

The content (see `newton_steps`) is strictly convex, so its slope along a step rises monotonically;
the minimum is bracketed by the sign of the slope.
"""

import numpy as np

from loop.curve import Array
from loop.hydraulics.lines import LineLosses

# Points tried at once on a step that is cut, and rounds: a resolution of 1/4096 of the step.
_POINTS, _ROUNDS = 3, 6
# Relative distance past a wall at which a step ends that the wall is to stop.
_PAST_WALL = 1e-9
# Relative rounding error of a sum of heads times flows, with a margin.
_ROUNDING = 1e-14


def aitken(relax: Array, before: Array, step: Array) -> Array:
    """Relaxation factor of a step with lagged tee losses: Aitken's delta-squared rule.

    Steps that reverse direction are shortened; steps in the same direction are not.
    """
    change = before - step
    size = np.einsum("nl,nl->n", change, change)
    along = np.einsum("nl,nl->n", before, change)
    better = np.divide(relax * along, size, out=relax.copy(), where=size > 0)
    known = (before != 0).any(axis=1)
    return np.asarray(np.where(known, np.minimum(np.maximum(better, 0.05), 1.0), relax))


def advance(
    losses: LineLosses, flows: Array, step: Array, loss: Array, tees: Array, relax: Array
) -> tuple[Array, Array, Array, Array]:
    """Flows after the step, the lines' losses and slopes there, and the step length.

    In each case the step length, 0 to 1, is where the content stops falling; a full step is
    multiplied by `relax`. The content's slope along the step is the head imbalance times the step,
    and rises monotonically. A step is taken in full if its final slope is at most half as steep as
    its initial slope; otherwise it is cut where the slope is nearest zero. `loss` includes the tee
    losses `tees`, which are held constant.
    """
    trial = flows + step
    trial_loss, slope = losses.lines(trial)
    first = content_slope(losses, loss, step)
    last = content_slope(losses, trial_loss + tees, step)
    length = np.ones(len(flows))
    rising = np.flatnonzero((last > 0.5 * np.abs(first)) & (first < 0))
    if len(rising):
        # Flows balance at the joints only to rounding, an imbalance that is multiplied by heads of
        # meters. Where the slope itself is smaller than that, or seems to rise at the start, which
        # is impossible, take the full step.
        noise = _ROUNDING * np.einsum("nl,nl->n", np.abs(loss[rising]), np.abs(trial[rising]))
        enough = 0.5 * np.abs(first[rising]) + noise
        steep = last[rising] > enough
        cut = rising[steep]
        if len(cut):
            few = losses.subset(cut)
            length[cut] = _shortened_step(few, flows[cut], step[cut], tees[cut], enough[steep])
    factor = np.where(length < 1, length, relax)
    moved = np.flatnonzero(factor != 1)
    if 2 * len(moved) > len(flows):
        trial = flows + factor[:, None] * step
        trial_loss, slope = losses.lines(trial)
    elif len(moved):
        trial[moved] = flows[moved] + factor[moved, None] * step[moved]
        trial_loss[moved], slope[moved] = losses.subset(moved).lines(trial[moved])
    return trial, trial_loss, slope, length


def _shortened_step(
    losses: LineLosses, flows: Array, step: Array, tees: Array, enough: Array
) -> Array:
    """Step length, shape (n,), at which the content's slope is within `enough` of zero.

    Where a line would reverse against a wall, the content cannot fall beyond the wall. If it falls
    all the way to the wall, the step ends just past it, so that the next step sees the wall.
    Otherwise the step length is searched before the wall, at several points at once, then between
    two of them.
    """
    length = spacing = _step_to_wall(losses, flows, step)
    slope = content_slope(losses, losses.lines(flows + length[:, None] * step)[0] + tees, step)
    length = np.where((slope < 0) & (length < 1), length * (1 + _PAST_WALL), length)
    left = np.flatnonzero(slope > enough)
    low = np.zeros(len(flows))
    for _ in range(_ROUNDS):
        if not len(left):
            break
        spacing = spacing / (_POINTS + 1)
        lengths = low[left, None] + spacing[left, None] * np.arange(1, _POINTS + 1)
        every = np.repeat(left, _POINTS)
        few, along = losses.subset(every), step[every]
        trial_loss = few.lines(flows[every] + lengths.reshape(-1, 1) * along)[0] + tees[every]
        slope = content_slope(few, trial_loss, along).reshape(-1, _POINTS)
        row, nearest = np.arange(len(left)), np.abs(slope).argmin(axis=1)
        length[left] = lengths[row, nearest]
        low[left] += spacing[left] * (slope < 0).sum(axis=1)
        left = left[np.abs(slope[row, nearest]) > enough[left]]
    return length


def _step_to_wall(losses: LineLosses, flows: Array, step: Array) -> Array:
    """Step length, at most 1, at which the first one-way line would reverse."""
    reversing = losses.one_way & (flows > 0) & (flows + step < 0)
    length = np.divide(-flows, step, out=np.ones_like(flows), where=reversing)
    return np.asarray(length.min(axis=1))


def content_slope(losses: LineLosses, loss: Array, step: Array) -> Array:
    """Slope of the content along the step [m⁴/s], shape (n,), at the line losses `loss`.

    The content is Millar's (Phil. Mag. 42 (1951) 1150, from memory): the integral of head over
    flow.
    """
    over = np.where(losses.open, loss - losses.sea, 0.0)
    return np.asarray(np.einsum("nl,nl->n", over, step))
