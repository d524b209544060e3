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
# Points tried at once on a step that is cut, and rounds: a resolution of 1/4096 of the step.
_POINTS, _ROUNDS = 3, 6
# Relative distance past a wall at which a step ends that the wall is to stop.
_PAST_WALL = 1e-9
# Relative rounding error of a sum of heads times flows, with a margin.
_ROUNDING = 1e-14


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
            (ended,), (left,) = (~working).nonzero(), working.nonzero()
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
            flows = coupled_step(losses, flows, step, slope)
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
    if np.count_nonzero(flows <= 0):
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
    (rising,) = ((last > 0.5 * np.abs(first)) & (first < 0)).nonzero()
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
    (moved,) = (factor != 1).nonzero()
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
    (left,) = (slope > enough).nonzero()
    low = np.zeros(len(flows))
    every = np.zeros(0, dtype=np.intp)
    for _ in range(_ROUNDS):
        if not len(left):
            break
        spacing = spacing / (_POINTS + 1)
        lengths = low[left, None] + spacing[left, None] * np.arange(1, _POINTS + 1)
        if len(every) != _POINTS * len(left):
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
