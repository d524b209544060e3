"""A step of all lines at once, with the tees' losses following every flow.

For the few networks in which the tees, taken a step behind, and the lines chase each other.
"""

import numpy as np

from loop.curve import Array
from loop.hydraulics.lines import LineLosses

_HALVINGS = 8


def coupled_step(losses: LineLosses, flows: Array) -> Array:
    """Flows after a damped Newton step on every head at once, shape (n, lines) [m³/s].

    The tees' losses are no gradient of anything, so there is no content that must fall. A step is
    halved until the step that the same tangents would take next is shorter (Deuflhard's natural
    monotonicity test, Newton Methods for Nonlinear Problems (2004), section 3.3), which does not
    depend on how heads of open lines and of walls are weighed against each other. Where no share
    passes, which is at the corner of a wall, the whole step is taken: to the other side.
    """
    ease = np.where(losses.open, 1.0 / losses.lines(flows)[1], 0.0)
    lines = len(losses.open)
    inverse = _inverse(_tangents(losses, flows, ease))[:, :lines, :lines]
    step = -np.einsum("nij,nj->ni", inverse, ease * _over(losses, flows))
    size = np.linalg.norm(step, axis=1)
    share = np.ones(len(flows))
    cut = np.arange(len(flows))
    for _ in range(_HALVINGS):
        ahead = flows[cut] + share[cut, None] * step[cut]
        left = ease[cut] * _over(losses.of(cut), ahead)
        next_size = np.linalg.norm(np.einsum("nij,nj->ni", inverse[cut], left), axis=1)
        cut = cut[next_size > (1 - share[cut] / 4) * size[cut]]
        if not len(cut):
            break
        share[cut] /= 2
    share[cut] = 1.0
    moved: Array = share[:, None] * step
    return flows + moved


def _inverse(matrices: Array) -> Array:
    """Inverses, shape (n, m, m); the nearest there is where tangents of tees and lines cancel.

    0 where steps have gone so far astray that there are no tangents.
    """
    found = np.zeros_like(matrices)
    sound = np.isfinite(matrices).all(axis=(1, 2))
    try:
        found[sound] = np.linalg.inv(matrices[sound])
    except np.linalg.LinAlgError:
        found[sound] = np.linalg.pinv(matrices[sound])
    return found


def _over(losses: LineLosses, flows: Array) -> Array:
    """Head [m] that each line takes beyond what the sea at its ends gives, shape (n, lines)."""
    return losses.lines(flows)[0] + losses.tees(flows) - losses.sea


def _tangents(losses: LineLosses, flows: Array, ease: Array) -> Array:
    """Matrix of the network's tangents at `flows`: a row a line, then a row a joint.

    Its unknowns are the steps of the lines' flows and the heads of the joints, the latter as the
    flow that they drive through the joint's widest line, so that all are of a size.
    """
    network = losses.network
    n, lines = flows.shape
    matrix = np.zeros((n, lines + network.joints, lines + network.joints))
    matrix[:, :lines, :lines] = np.eye(lines) + ease[:, :, None] * losses.tee_slopes(flows)
    widest = np.zeros((n, network.joints))
    for i, line in enumerate(network.lines):
        for joint, sign in ((line.start, -1.0), (line.end, 1.0)):
            if joint >= 0:
                matrix[:, lines + joint, i] = sign
                matrix[:, i, lines + joint] = sign * ease[:, i]
                widest[:, joint] = np.maximum(widest[:, joint], ease[:, i])
    for joint in range(network.joints):
        # A joint that only shut lines reach has no head of its own; any number will do.
        shut = widest[:, joint] == 0
        matrix[shut, lines + joint, lines + joint] = 1.0
        matrix[:, :lines, lines + joint] /= np.where(shut, 1.0, widest[:, joint])[:, None]
    return matrix
