"""Joint heads of a linear network: conductances between joints and the sea.

This is nodal analysis; ``ease`` is a line's conductance.
"""

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.network import Network
from loop.records import dataclass

_Indices = NDArray[np.intp]
# An eliminated node, its (link, neighbor) pairs, and, for every two neighbors by position, the link
# between them.
_Leaving = tuple[int, list[tuple[int, int]], list[tuple[int, int, int]]]


def joint_drops(network: Network, ease: Array, known: Array) -> Array:
    """Head of the joint before each line minus that after it, with all joints in balance.

    Parameters
    ----------
    network : Network
    ease : array, shape (n, lines)
        Conductance of each line [m²/s], flow per meter of head, 0 or more.
    known : array, shape (n, lines)
        Flow of each line with every joint at zero head [m³/s].

    Returns
    -------
    array, shape (n, lines)
        Head [m]; all 0 if there are no joints.
    """
    if not network.joints:
        return np.zeros_like(ease)
    links = _links(network.starts.tobytes(), network.ends.tobytes(), network.joints)
    if len(ease) == 1:
        return np.array([links.drops_of_one(ease[0].tolist(), known[0].tolist())])
    return links.drops(ease, known)


@dataclass(frozen=True)
class _Sums:
    """Sums of rows by group: the rows ordered by group, and where each group starts."""

    order: _Indices
    starts: _Indices

    @classmethod
    def of(cls, group: _Indices) -> "tuple[_Sums, _Indices]":
        """The sums by each row's group, and the groups in order."""
        order = np.argsort(group, kind="stable")
        ranked = group[order]
        starts = np.flatnonzero(np.concatenate([[True], ranked[1:] != ranked[:-1]])[: len(ranked)])
        return cls(order, starts), ranked[starts]

    def __call__(self, rows: Array) -> Array:
        return np.asarray(np.add.reduceat(rows[self.order], self.starts, axis=0))


@dataclass(frozen=True)
class _Adding:
    """Adds rows to some of an array's rows, which may repeat."""

    to: _Indices
    sums: _Sums | None

    @classmethod
    def of(cls, places: list[int]) -> "_Adding":
        if len(set(places)) == len(places):
            return cls(_indices(places), None)
        sums, to = _Sums.of(_indices(places))
        return cls(to, sums)

    def __call__(self, rows: Array, more: Array) -> None:
        rows[self.to] += more if self.sums is None else self.sums(more)


@dataclass(frozen=True)
class _Round:
    """Nodes that are eliminated together: no line links two of them.

    The links of each node to its neighbors are consecutive in ``links``, starting at ``first``;
    ``of`` is each link's node among these, ``near`` its neighbor. ``one`` and ``other`` are the
    positions of every two links of a node, and ``between`` adds to the link between their two
    neighbors.
    """

    nodes: _Indices
    links: _Indices
    first: _Indices
    of: _Indices
    near: _Indices
    to_near: _Adding
    one: _Indices
    other: _Indices
    between: _Adding
    pairs: tuple[tuple[int, int, int], ...]

    def one_by_one(self) -> Iterator[_Leaving]:
        """Its nodes, one at a time."""
        firsts = [*self.first.tolist(), len(self.links)]
        for node, first, last in zip(self.nodes.tolist(), firsts, firsts[1:], strict=False):
            links, near = self.links[first:last].tolist(), self.near[first:last].tolist()
            pairs = [(i - first, j - first, at) for i, j, at in self.pairs if first <= i < last]
            yield node, list(zip(links, near, strict=True)), pairs


class _Links:
    """Links between nodes: node 0 is the sea, and a joint's node is its number plus 1.

    Joints are eliminated, those with the fewest neighbors first, and at once as many as are not
    neighbors of each other; their links are distributed among their neighbors (star-mesh
    transform). Nothing is ever subtracted: with walls of 1e17 beside open lines, plain elimination
    would leave only rounding error (Grassmann, Taksar & Heyman, Oper. Res. 33 (1985) 1107, for the
    similar sums of Markov chains).
    """

    def __init__(self, starts: _Indices, ends: _Indices, joints: int) -> None:
        self.nodes = joints + 1
        self._starts, self._ends = np.maximum(starts, -1) + 1, np.maximum(ends, -1) + 1
        low, high = np.minimum(self._starts, self._ends), np.maximum(self._starts, self._ends)
        self._linked, pairs = _Sums.of(low * self.nodes + high)
        self._met, self._meeting = _Sums.of(np.concatenate([self._ends, self._starts]))
        links = {divmod(int(pair), self.nodes): number for number, pair in enumerate(pairs)}
        self._link_of = [links[int(a), int(b)] for a, b in zip(low, high, strict=True)]
        self._rounds = tuple(_rounds(links, joints))
        self._count = len(links)
        self._ends_of = list(zip(self._starts.tolist(), self._ends.tolist(), strict=True))
        self._one_by_one = [each for out in self._rounds for each in out.one_by_one()]

    def drops(self, ease: Array, known: Array) -> Array:
        """Head of the node before each line minus that after it [m], (n, lines)."""
        n = len(ease)
        links = np.zeros((self._count, n))
        first = self._linked(ease.T)
        links[: len(first)] = first
        comes = np.zeros((self.nodes, n))
        comes[self._meeting] = self._met(np.concatenate([known.T, -known.T]))
        heads = np.zeros((self.nodes, n))
        shares = []
        for out in self._rounds:
            own = links[out.links]
            linked = np.add.reduceat(own, out.first, axis=0)
            # A joint that only shut lines reach has no defined head; any number will do.
            whole = np.where(linked > 0, linked, 1.0)
            share = own / whole[out.of]
            here = comes[out.nodes]
            out.between(links, share[out.one] * own[out.other])
            out.to_near(comes, share * here[out.of])
            heads[out.nodes] = here / whole
            shares.append(share)
        for out, share in zip(reversed(self._rounds), reversed(shares), strict=True):
            heads[out.nodes] += np.add.reduceat(share * heads[out.near], out.first, axis=0)
        return np.ascontiguousarray((heads[self._starts] - heads[self._ends]).T)

    def drops_of_one(self, ease: list[float], known: list[float]) -> list[float]:
        """The same for a single case, (lines,), in plain floats: array calls would cost more."""
        links, comes = [0.0] * self._count, [0.0] * self.nodes
        for link, here, more, (start, end) in zip(
            self._link_of, ease, known, self._ends_of, strict=True
        ):
            links[link] += here
            comes[end] += more
            comes[start] -= more
        shares, heads = [], [0.0] * self.nodes
        for node, own, pairs in self._one_by_one:
            whole = sum(links[link] for link, _ in own) or 1.0
            share = [links[link] / whole for link, _ in own]
            for one, other, link in pairs:
                links[link] += share[one] * links[own[other][0]]
            for part, (_, near) in zip(share, own, strict=True):
                comes[near] += part * comes[node]
            heads[node] = comes[node] / whole
            shares.append(share)
        for (node, own, _), share in zip(reversed(self._one_by_one), reversed(shares), strict=True):
            heads[node] += sum(
                part * heads[near] for part, (_, near) in zip(share, own, strict=True)
            )
        return [heads[start] - heads[end] for start, end in self._ends_of]


def _rounds(links: dict[tuple[int, int], int], joints: int) -> Iterator[_Round]:
    """The joints in order of elimination; adds the links that elimination creates."""
    near: dict[int, set[int]] = {node: set() for node in range(joints + 1)}
    for one, other in links:
        if one != other:
            near[one].add(other)
            near[other].add(one)
    left = set(range(1, joints + 1))
    while left:
        fewest = min(len(near[node]) for node in left)
        nodes: list[int] = []
        for node in sorted(left):
            if len(near[node]) == fewest and not near[node] & set(nodes):
                nodes.append(node)
        left -= set(nodes)
        edges, first, pairs, between = list[tuple[int, int]](), list[int](), [], list[int]()
        for node in nodes:
            first.append(len(edges))
            neighbours = sorted(near.pop(node))
            for i, j in combinations(range(len(neighbours)), 2):
                pairs.append((len(edges) + i, len(edges) + j))
                pair = neighbours[i], neighbours[j]
                between.append(links.setdefault(pair, len(links)))
            for other in neighbours:
                near[other].remove(node)
                near[other].update(set(neighbours) - {other})
            edges += [(node, other) for other in neighbours]
        yield _Round(
            nodes=_indices(nodes),
            links=_indices([links[min(edge), max(edge)] for edge in edges]),
            first=_indices(first),
            of=_indices([nodes.index(node) for node, _ in edges]),
            near=_indices([other for _, other in edges]),
            to_near=_Adding.of([other for _, other in edges]),
            one=_indices([i for i, _ in pairs]),
            other=_indices([j for _, j in pairs]),
            between=_Adding.of(between),
            pairs=tuple((i, j, link) for (i, j), link in zip(pairs, between, strict=True)),
        )


def _indices(values: list[int]) -> _Indices:
    return np.array(values, dtype=np.intp)


@lru_cache(maxsize=256)
def _links(starts: bytes, ends: bytes, joints: int) -> _Links:
    """The `_Links` between these joints, cached: every solver step asks for them."""
    return _Links(np.frombuffer(starts, np.intp), np.frombuffer(ends, np.intp), joints)
