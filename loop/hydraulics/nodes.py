"""Heads of the joints of a linear network: lines of known ease between joints and the sea."""

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.network import Network
from loop.records import dataclass

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
    return links.drops(ease, known)


@dataclass(frozen=True)
class _Sums:
    """Sums of rows in groups: the rows in the groups' order, and where each group starts."""

    order: _Indices
    starts: _Indices

    @classmethod
    def of(cls, group: _Indices) -> "tuple[_Sums, _Indices]":
        """The sums by each row's group, and the groups in their order."""
        order = np.argsort(group, kind="stable")
        ranked = group[order]
        starts = np.flatnonzero(np.concatenate([[True], ranked[1:] != ranked[:-1]])[: len(ranked)])
        return cls(order, starts), ranked[starts]

    def __call__(self, rows: Array) -> Array:
        return np.asarray(np.add.reduceat(rows[self.order], self.starts, axis=0))


@dataclass(frozen=True)
class _LeftOut:
    """A node that is left out: its neighbours, the links to them, and theirs to each other.

    ``one`` and ``other`` are places among the neighbours, for every two of them, and ``between``
    the link of the two.
    """

    node: int
    neighbours: _Indices
    links: _Indices
    one: _Indices
    other: _Indices
    between: _Indices


class _Links:
    """Which nodes are linked by lines: node 0 is the sea, and a joint's node its number plus 1.

    Joints are left out of the network one after the other, each time the one with the fewest
    neighbours, whose links are shared among these (a star becomes a mesh). Nothing is ever
    subtracted: walls of 1e17 beside open lines would leave a plain elimination nothing but rounding
    (Grassmann, Taksar & Heyman, Oper. Res. 33 (1985) 1107, for the like sums of Markov chains).
    """

    def __init__(self, starts: _Indices, ends: _Indices, joints: int) -> None:
        self.nodes = joints + 1
        self._starts, self._ends = np.maximum(starts, -1) + 1, np.maximum(ends, -1) + 1
        low, high = np.minimum(self._starts, self._ends), np.maximum(self._starts, self._ends)
        self._linked, pairs = _Sums.of(low * self.nodes + high)
        self._met, self._meeting = _Sums.of(np.concatenate([self._ends, self._starts]))
        links = {divmod(int(pair), self.nodes): number for number, pair in enumerate(pairs)}
        self._order = tuple(_order(links, joints))
        self._count = len(links)

    def drops(self, ease: Array, known: Array) -> Array:
        """Head of the node before each line less that of the one after [m], (n, lines)."""
        n = len(ease)
        links = np.zeros((self._count, n))
        first = self._linked(ease.T)
        links[: len(first)] = first
        comes = np.zeros((self.nodes, n))
        comes[self._meeting] = self._met(np.concatenate([known.T, -known.T]))
        heads = np.zeros((self.nodes, n))
        shares = []
        for out in self._order:
            own = links[out.links]
            linked = own.sum(axis=0)
            # A joint that only shut lines reach has no head of its own; any number will do.
            whole = np.where(linked > 0, linked, 1.0)
            share = own / whole
            links[out.between] += share[out.one] * own[out.other]
            comes[out.neighbours] += share * comes[out.node]
            heads[out.node] = comes[out.node] / whole
            shares.append(share)
        for out, share in zip(reversed(self._order), reversed(shares), strict=True):
            heads[out.node] += (share * heads[out.neighbours]).sum(axis=0)
        return np.ascontiguousarray((heads[self._starts] - heads[self._ends]).T)


def _order(links: dict[tuple[int, int], int], joints: int) -> Iterator[_LeftOut]:
    """The joints in the order in which they are left out; adds the links that this makes."""
    near: dict[int, set[int]] = {node: set() for node in range(joints + 1)}
    for one, other in links:
        if one != other:
            near[one].add(other)
            near[other].add(one)
    left = set(range(1, joints + 1))
    while left:
        node = min(left, key=lambda k: (len(near[k]), k))
        left.remove(node)
        neighbours = sorted(near.pop(node))
        for other in neighbours:
            near[other].remove(node)
            near[other].update(set(neighbours) - {other})
        pairs = list(combinations(range(len(neighbours)), 2))
        between = [(neighbours[i], neighbours[j]) for i, j in pairs]
        for pair in between:
            links.setdefault(pair, len(links))
        yield _LeftOut(
            node=node,
            neighbours=_indices(neighbours),
            links=_indices([links[min(node, k), max(node, k)] for k in neighbours]),
            one=_indices([i for i, _ in pairs]),
            other=_indices([j for _, j in pairs]),
            between=_indices([links[pair] for pair in between]),
        )


def _indices(values: list[int]) -> _Indices:
    return np.array(values, dtype=np.intp)


@lru_cache(maxsize=256)
def _links(starts: bytes, ends: bytes, joints: int) -> _Links:
    """The links of a network, whose lines start and end at these joints; kept, as it is asked for
    at every step."""
    return _Links(np.frombuffer(starts, np.intp), np.frombuffer(ends, np.intp), joints)
