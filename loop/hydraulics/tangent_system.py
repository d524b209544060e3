"""Linear system of a network's tangents, solved manifold by manifold, the innermost first.

Its matrix is the Jacobian of the network's equations: heads along lines, and flows at joints.

Manifolds are nested: what lies between a manifold's two joints depends only on the heads of these
two. Its lines and inner joints form a small system, a block, solved once for each of the two heads
and once for the lines' residuals; for the block around it, it reduces to two flows that depend on
two heads. This is static condensation of substructures (Przemieniecki, AIAA J. 1 (1963) 138). It
needs one small inverse per manifold, where the cost of a single inverse would grow with the cube of
their number. Blocks of equal nesting depth are processed together.

The two heads are the head from joint to joint, and the head by which both are raised together. If
nothing ends overboard, nothing depends on the latter; as a difference of large numbers, rounding
would make it seem so.
"""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.block_matrices import block_layers
from loop.hydraulics.network import Network

_Rows = NDArray[np.intp] | NDArray[np.bool_]


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
