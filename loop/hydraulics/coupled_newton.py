"""Newton step on all lines at once, including how the tees' losses respond to every flow.

For the few networks in which lagged tee losses and line flows do not converge together.
"""

import numpy as np

from loop.curve import Array
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.nodes import joint_drops

# Step lengths tried, each half the last, and cases per batch: for few cases the call overhead
# dominates.
_HALVINGS, _AT_ONCE = 8, 64
# Entries of a matrix for all cases, 16 MB; of more cases each half is solved by itself.
_MOST_ENTRIES = 2_000_000


def coupled_step(losses: LineLosses, flows: Array, lagged: Array, slope: Array) -> Array:
    """Flows after a damped Newton step on all heads at once, shape (n, lines) [m³/s].

    `lagged` is the step that balances the tangents of the lines, of this `slope`, while the tee
    losses stay. These are not the gradient of any function, so there is no content to minimize. A
    step is halved until the next step on the same tangents is shorter (Deuflhard's natural
    monotonicity test, Newton Methods for Nonlinear Problems (2004), section 3.3); this test does
    not depend on how the heads of open lines are weighted against those of walls. Where no step
    length passes, which happens at the corner of a wall, the full step is taken, to the other side.
    """
    n, lines = flows.shape
    if n * lines**2 > _MOST_ENTRIES and n > 1:
        halves = np.array_split(np.arange(n), 2)
        each = [(losses.subset(of), flows[of], lagged[of], slope[of]) for of in halves]
        return np.concatenate([coupled_step(*half) for half in each])
    conductance = np.where(losses.open, 1.0 / slope, 0.0)
    # Flow of each line in balance at all joints, per flow of each with these at zero head.
    alone = np.broadcast_to(np.eye(lines), (n, lines, lines))
    heads = joint_drops(losses.network, conductance, alone)
    balanced = alone + conductance[:, :, None] * heads
    response = balanced @ (conductance[:, :, None] * losses.tee_slopes(flows))
    inverse = _inverse(alone + response)
    # Not the product alone, whose rounding is more than a wall lets through.
    step = lagged - _product(response, _product(inverse, lagged))
    size = np.linalg.norm(step, axis=1)
    share, cut, tried = np.ones(n), np.arange(n), 0
    while len(cut) and tried < _HALVINGS:
        more = min(max(_AT_ONCE // len(cut), 1), _HALVINGS - tried)
        shares = 0.5 ** np.arange(tried, tried + more)
        rows, some = np.repeat(cut, more), np.tile(shares, len(cut))
        ahead, there = flows[rows] + some[:, None] * step[rows], losses.subset(rows)
        left = conductance[rows] * (there.lines(ahead)[0] + there.tees(ahead) - there.sea)
        follows = _product(inverse[rows], _product(balanced[rows], left))
        next_size = np.linalg.norm(follows, axis=1)
        passes = (next_size <= (1 - some / 4) * size[rows]).reshape(-1, more)
        found = passes.any(axis=1)
        share[cut[found]] = shares[passes[found].argmax(axis=1)]
        cut, tried = cut[~found], tried + more
    return np.asarray(flows + share[:, None] * step)


def _product(matrices: Array, vectors: Array) -> Array:
    return np.asarray((matrices @ vectors[..., None])[..., 0])


def _inverse(matrices: Array) -> Array:
    """Inverses, shape (n, m, m); pseudoinverses where tangents of tees and lines cancel.

    0 where the steps have diverged and the tangents are not finite.
    """
    found = np.zeros_like(matrices)
    sound = np.isfinite(matrices).all(axis=(-1, -2))
    try:
        found[sound] = np.linalg.inv(matrices[sound])
    except np.linalg.LinAlgError:
        found[sound] = np.linalg.pinv(matrices[sound])
    return found
