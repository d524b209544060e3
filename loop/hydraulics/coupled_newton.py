"""A step of all lines at once, with the tees' losses following every flow.

For the few networks in which the tees, taken a step behind, and the lines chase each other.
"""

import numpy as np

from loop.curve import Array
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.tangent_system import TangentSystem

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
    system = TangentSystem(losses.network, ease, losses.tee_slopes(flows))
    step = -system.steps(ease * _over(losses, flows))
    size = np.linalg.norm(step, axis=1)
    share = np.ones(len(flows))
    cut = np.arange(len(flows))
    for _ in range(_HALVINGS):
        ahead = flows[cut] + share[cut, None] * step[cut]
        left = ease[cut] * _over(losses.of(cut), ahead)
        next_size = np.linalg.norm(system.of(cut).steps(left), axis=1)
        cut = cut[next_size > (1 - share[cut] / 4) * size[cut]]
        if not len(cut):
            break
        share[cut] /= 2
    share[cut] = 1.0
    moved: Array = share[:, None] * step
    return flows + moved


def _over(losses: LineLosses, flows: Array) -> Array:
    """Head [m] that each line takes beyond what the sea at its ends gives, shape (n, lines)."""
    return losses.lines(flows)[0] + losses.tees(flows) - losses.sea
