"""Newton step on all lines at once, including how the tees' losses respond to every flow.

For the few networks in which lagged tee losses and line flows do not converge together.
"""

import numpy as np

from loop.curve import Array
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.tangent_system import TangentSystem

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
    conductance = np.where(losses.open, 1.0 / slope, 0.0)
    system = TangentSystem(losses.network, conductance, losses.tee_slopes(flows))
    step = -system.steps(conductance * (loss - losses.sea))
    size = np.linalg.norm(step, axis=1)
    share, cut, tried = np.ones(len(flows)), np.arange(len(flows)), 0
    while len(cut) and tried < _HALVINGS:
        more = min(max(_AT_ONCE // len(cut), 1), _HALVINGS - tried)
        shares = 0.5 ** np.arange(tried, tried + more)
        rows, some = np.repeat(cut, more), np.tile(shares, len(cut))
        ahead, there = flows[rows] + some[:, None] * step[rows], losses.subset(rows)
        left = conductance[rows] * (there.lines(ahead)[0] + there.tees(ahead) - there.sea)
        next_size = np.linalg.norm(system.subset(rows).steps(left), axis=1)
        passes = (next_size <= (1 - some / 4) * size[rows]).reshape(-1, more)
        found = passes.any(axis=1)
        share[cut[found]] = shares[passes[found].argmax(axis=1)]
        cut, tried = cut[~found], tried + more
    return np.asarray(flows + share[:, None] * step)
