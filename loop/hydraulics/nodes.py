"""Heads of the joints of a linear network: lines of known ease between joints and the sea."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.network import Network

_Indices = NDArray[np.intp]


def joint_drops(network: Network, ease: Array, known: Array) -> Array:
    """Head of the joint before each line less that of the one after, where joints balance.

    Parameters
    ----------
    network : Network
    ease : array, shape (n, lines)
        Flow that a metre of head drives through each line [m²/s], 0 or more.
    known : array, shape (n, lines)
        Flow of each line with every joint at no head [m³/s].

    Returns
    -------
    array, shape (n, lines)
        Head [m]; 0 throughout where there are no joints.
    """
    if not network.joints:
        return np.zeros_like(ease)
    links = _links(network.starts.tobytes(), network.ends.tobytes(), network.joints)
    heads = _eliminated(links.matrix(ease, known))
    return heads[:, links.starts] - heads[:, links.ends]


@dataclass(frozen=True)
class _Sums:
    """Sums of columns in groups: the columns in the groups' order, and where each group starts."""

    order: _Indices
    starts: _Indices

    @classmethod
    def of(cls, group: _Indices) -> "tuple[_Sums, _Indices]":
        """The sums by each column's group, and the groups in their order."""
        order = np.argsort(group, kind="stable")
        groups, starts = np.unique(group[order], return_index=True)
        return cls(order, starts), groups

    def __call__(self, columns: Array) -> Array:
        return np.asarray(np.add.reduceat(columns[:, self.order], self.starts, axis=1))


class _Links:
    """Which lines meet at which node: node 0 is the sea, and a joint's node its number plus 1."""

    def __init__(self, starts: _Indices, ends: _Indices, joints: int) -> None:
        self.nodes = joints + 1
        self.starts, self.ends = np.maximum(starts, -1) + 1, np.maximum(ends, -1) + 1
        low, high = np.minimum(self.starts, self.ends), np.maximum(self.starts, self.ends)
        self._pairs, pairs = _Sums.of(low * self.nodes + high)
        self._low, self._high = np.divmod(pairs, self.nodes)
        self._meeting, self._met = _Sums.of(np.concatenate([self.ends, self.starts]))

    def matrix(self, ease: Array, known: Array) -> Array:
        """For each node, what comes to it, and its ease to each node; (n, nodes, 1 + nodes)."""
        matrix = np.zeros((len(ease), self.nodes, 1 + self.nodes))
        matrix[:, self._met, 0] = self._meeting(np.concatenate([known, -known], axis=1))
        links = self._pairs(ease)
        matrix[:, self._low, self._high + 1] = links
        matrix[:, self._high, self._low + 1] = links
        return matrix


@lru_cache(maxsize=256)
def _links(starts: bytes, ends: bytes, joints: int) -> _Links:
    """The links of a network, whose lines start and end at these joints; kept, as it is asked for
    at every step."""
    return _Links(np.frombuffer(starts, np.intp), np.frombuffer(ends, np.intp), joints)


def _eliminated(matrix: Array) -> Array:
    """Heads [m] of a network's nodes, shape (n, nodes), the first of which is held at 0.

    Gauss elimination that never subtracts: the links of a node that is left out are shared among
    the others, and what a node has on the diagonal is not kept but summed from its links. Walls of
    1e17 beside open lines would leave a plain elimination nothing but rounding (Grassmann, Taksar &
    Heyman, Oper. Res. 33 (1985) 1107, for the like sums of Markov chains).
    """
    nodes = matrix.shape[1]
    whole = np.ones((len(matrix), nodes))
    for k in reversed(range(1, nodes)):
        row = matrix[:, k, : k + 1]
        linked = row[:, 1:].sum(axis=1)
        # A joint that only shut lines reach has no head of its own; any number will do.
        whole[:, k] = np.where(linked > 0, linked, 1.0)
        share = matrix[:, 1:k, k + 1] / whole[:, k, None]
        matrix[:, 1:k, : k + 1] += share[:, :, None] * row[:, None, :]
    heads = np.zeros((len(matrix), nodes))
    for k in range(1, nodes):
        known = (matrix[:, k, 1 : k + 1] * heads[:, :k]).sum(axis=1)
        heads[:, k] = (matrix[:, k, 0] + known) / whole[:, k]
    return heads
