"""Newton step on all lines at once, including how the tees' losses respond to every flow.

For the few networks in which lagged tee losses and line flows do not converge together.
"""

import numpy as np

from loop.curve import Array
from loop.hydraulics.lines import LineLosses

# Step lengths tried, each half the last, and cases per batch: for few cases the call overhead
# dominates.
_HALVINGS, _AT_ONCE = 8, 64


def coupled_step(losses: LineLosses, flows: Array, loss: Array, slope: Array) -> Array:
    """Flows after a damped Newton step on all heads at once, shape (n, lines) [m³/s].

    `loss` is the head loss of the lines at `flows`, tees included; `slope` is that of the lines
    alone. The tee losses are not the gradient of any function, so there is no content to minimize.
    A step is halved until the next step on the same tangents is shorter (Deuflhard's natural
    monotonicity test, Newton Methods for Nonlinear Problems (2004), section 3.3); this test does
    not depend on how the heads of open lines are weighted against those of walls. Where no step
    length passes, which happens at the corner of a wall, the full step is taken, to the other side.
    """
    lines = flows.shape[1]
    conductance = np.where(losses.open, 1.0 / slope, 0.0)
    inverse = _inverse(_tangents(losses, flows, conductance))[:, :lines, :lines]
    step = -_product(inverse, conductance * (loss - losses.sea))
    size = np.linalg.norm(step, axis=1)
    share, cut, tried = np.ones(len(flows)), np.arange(len(flows)), 0
    while len(cut) and tried < _HALVINGS:
        more = min(max(_AT_ONCE // len(cut), 1), _HALVINGS - tried)
        shares = 0.5 ** np.arange(tried, tried + more)
        rows, some = np.repeat(cut, more), np.tile(shares, len(cut))
        ahead, there = flows[rows] + some[:, None] * step[rows], losses.subset(rows)
        left = conductance[rows] * (there.lines(ahead)[0] + there.tees(ahead) - there.sea)
        next_size = np.linalg.norm(_product(inverse[rows], left), axis=1)
        passes = (next_size <= (1 - some / 4) * size[rows]).reshape(-1, more)
        found = passes.any(axis=1)
        share[cut[found]] = shares[passes[found].argmax(axis=1)]
        cut, tried = cut[~found], tried + more
    return np.asarray(flows + share[:, None] * step)


def _product(matrices: Array, vectors: Array) -> Array:
    return np.asarray((matrices @ vectors[..., None])[..., 0])


def _tangents(losses: LineLosses, flows: Array, conductance: Array) -> Array:
    """Matrix of the network's tangents at `flows`, a row for each line and then for each joint.

    Its unknowns are the steps of the lines' flows and the heads of the joints, each as the flow
    that it drives through the joint's widest line, so that all are of one size.
    """
    network, (n, lines) = losses.network, flows.shape
    matrix = np.zeros((n, lines + network.joints, lines + network.joints))
    matrix[:, :lines, :lines] = np.eye(lines) + conductance[:, :, None] * losses.tee_slopes(flows)
    for ends, sign in ((network.starts, -1.0), (network.ends, 1.0)):
        inner = np.flatnonzero(ends >= 0)
        joints = lines + ends[inner]
        matrix[:, joints, inner] = sign
        matrix[:, inner, joints] = sign * conductance[:, inner]
    widest = np.abs(matrix[:, :lines, lines:]).max(axis=1)
    # A joint that only shut lines reach has no defined head; any number will do.
    case, joint = np.nonzero(widest == 0)
    matrix[case, lines + joint, lines + joint] = widest[case, joint] = 1.0
    matrix[:, :lines, lines:] /= widest[:, None, :]
    return matrix


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
