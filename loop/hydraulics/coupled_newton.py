"""Newton step on all lines at once, including how the tees' losses respond to every flow.

For the few networks in which lagged tee losses and line flows do not converge together.
"""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.block_matrices import block_layers
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.network import Network

# Step lengths tried, each half the last, and cases per batch: for few cases the call overhead
# dominates.
_HALVINGS, _AT_ONCE = 8, 64
_Rows = NDArray[np.intp] | NDArray[np.bool_]


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


class TangentSystem:
    """Flow steps of all lines that balance the tangents of lines and tees, in n cases.

    Parameters
    ----------
    network : Network
    conductance : array, shape (n, lines)
        Conductance of each line's tangent [m²/s], flow per meter of head; 0 where it is shut.
    tees : array, shape (n, headers, branches, branches)
        Derivative of the branches' tee losses by each branch's flow [s/m²], as in
        `LineLosses.tee_slopes`.
    """

    def __init__(self, network: Network, conductance: Array, tees: Array) -> None:
        self._blocks = block_layers(network.forks, network.lines)
        n, lines = conductance.shape
        conductance, tees = _with_zero_column(conductance), tees.reshape(n, -1)
        widest = conductance[:, self._blocks.touching].max(axis=2)
        # A joint that only shut lines reach has no defined head; any number will do.
        shut = widest == 0
        widest = np.repeat(widest.reshape(n, -1, 2).max(axis=2), 2, axis=1)
        self._scale = np.ones((n, self._blocks.padding + 1))
        self._scale[:, lines:-1] = 1.0 / np.where(widest == 0, 1.0, widest)
        self._inverses: list[Array] = []
        self._answers: list[Array] = []
        answers = np.zeros((n, len(network.forks), 2, 2))
        for layer in self._blocks.layers:
            given = answers.reshape(n, -1)
            inverse = _inverse(layer.matrix(conductance, tees, self._scale, shut, given))
            answer = inverse @ layer.right_hand_sides(conductance, given)
            if layer.forks:
                answers[:, layer.forks] = layer.ends.transpose(0, 2, 1) @ answer
            self._inverses.append(inverse)
            self._answers.append(answer)

    def subset(self, rows: _Rows) -> "TangentSystem":
        """The system for some of the cases: `rows` are indices or a mask."""
        subset = object.__new__(TangentSystem)
        subset._blocks, subset._scale = self._blocks, self._scale[rows]
        subset._inverses = [inverse[rows] for inverse in self._inverses]
        subset._answers = [answer[rows] for answer in self._answers]
        return subset

    def steps(self, residual_flow: Array) -> Array:
        """Steps [m³/s] of all lines' flows for each line's residual as a flow, both (n, lines)."""
        layers, (n, lines) = self._blocks.layers, residual_flow.shape
        known = np.zeros((n, self._blocks.padding + 1))
        known[:, :lines] = residual_flow
        particular = []
        for layer, inverse in zip(layers, self._inverses, strict=True):
            found = (inverse @ known[:, layer.unknowns, None])[..., 0]
            particular.append(found)
            flows = (layer.ends.transpose(0, 2, 1) @ found[..., None])[..., 0]
            known[:, layer.joints] = flows * (1.0, -1.0)
        solved = np.zeros_like(known)
        for layer, found, answer in zip(
            reversed(layers), reversed(particular), reversed(self._answers), strict=True
        ):
            heads = solved[:, layer.joints]
            found = (found + (answer @ heads[..., None])[..., 0]) * self._scale[:, layer.unknowns]
            solved[:, layer.unknowns] = found + layer.raised * heads[..., 1:]
            solved[:, -1] = 0.0
        return solved[:, :lines]


def _with_zero_column(values: Array) -> Array:
    return np.concatenate([values, np.zeros((len(values), 1))], axis=1)


def _inverse(matrices: Array) -> Array:
    """Inverses, shape (…, m, m); pseudoinverses where tangents of tees and lines cancel.

    0 where the steps have diverged and the tangents are not finite.
    """
    found = np.zeros_like(matrices)
    sound = np.isfinite(matrices).all(axis=(-1, -2))
    try:
        found[sound] = np.linalg.inv(matrices[sound])
    except np.linalg.LinAlgError:
        found[sound] = np.linalg.pinv(matrices[sound])
    return found
