"""Joint heads of a linear network: conductances between joints and the sea.

This is nodal analysis; ``conductance`` is a line's conductance.
"""

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, Numbers
from loop.hydraulics.network import Network
from loop.records import dataclass

_Indices = NDArray[np.intp]
# Up to so many lines the heads of joints are found in turn.
_ONE_BY_ONE_LINES = 24
# An eliminated node, its (link, neighbor) pairs, and, for every two neighbors by position, the link
# between them.
_EliminatedNode = tuple[int, list[tuple[int, int]], list[tuple[int, int, int]]]


def joint_drops(network: Network, conductance: Array, known: Array) -> Array:
    """Head of the joint before each line minus that after it, with all joints in balance.

    Parameters
    ----------
    network : Network
    conductance : array, shape (n, lines)
        Conductance of each line [m²/s], flow per meter of head, 0 or more.
    known : array, shape (n, lines)
        Flow of each line with every joint at zero head [m³/s].

    Returns
    -------
    array, shape (n, lines)
        Head [m]; all 0 if there are no joints.
    """
    if not network.joints:
        return np.zeros_like(conductance)
    links = _star_mesh(network.starts.tobytes(), network.ends.tobytes(), network.joints)
    if len(conductance) == 1:
        return np.array([links.drops_one_by_one(conductance[0].tolist(), known[0].tolist())])
    if conductance.shape[1] <= _ONE_BY_ONE_LINES:
        rows = (list(np.ascontiguousarray(values.T)) for values in (conductance, known))
        found = np.empty_like(conductance)
        for number, drop in enumerate(links.drops_one_by_one(*rows)):
            found[:, number] = drop
        return found
    return links.drops(conductance, known)


@dataclass(frozen=True)
class _GroupSums:
    """Sums of rows by group: the rows ordered by group, and where each group starts."""

    order: _Indices
    starts: _Indices

    @classmethod
    def of(cls, group: _Indices) -> "tuple[_GroupSums, _Indices]":
        """The sums by each row's group, and the groups in order."""
        order = np.argsort(group, kind="stable")
        ranked = group[order]
        starts = np.flatnonzero(np.concatenate([[True], ranked[1:] != ranked[:-1]])[: len(ranked)])
        return cls(order, starts), ranked[starts]

    def __call__(self, rows: Array) -> Array:
        return np.asarray(np.add.reduceat(rows[self.order], self.starts, axis=0))


@dataclass(frozen=True)
class _ScatterAdd:
    """Adds rows to some of an array's rows, which may repeat."""

    to: _Indices
    sums: _GroupSums | None

    @classmethod
    def of(cls, places: list[int]) -> "_ScatterAdd":
        if len(set(places)) == len(places):
            return cls(_indices(places), None)
        sums, to = _GroupSums.of(_indices(places))
        return cls(to, sums)

    def __call__(self, rows: Array, more: Array) -> None:
        rows[self.to] += more if self.sums is None else self.sums(more)


@dataclass(frozen=True)
class _EliminationRound:
    """Nodes that are eliminated together: no line links two of them.

    The links of each node to its neighbors are consecutive in ``links``, starting at ``first``;
    ``node_of`` is each link's node among these, ``neighbors`` its neighbor. ``one`` and ``other``
    are the positions of every two links of a node, and ``add_to_links`` adds to the link between
    their two neighbors.
    """

    nodes: _Indices
    links: _Indices
    first: _Indices
    node_of: _Indices
    neighbors: _Indices
    add_to_neighbors: _ScatterAdd
    one: _Indices
    other: _Indices
    add_to_links: _ScatterAdd
    pairs: tuple[tuple[int, int, int], ...]

    def one_by_one(self) -> Iterator[_EliminatedNode]:
        """Its nodes, one at a time."""
        firsts = [*self.first.tolist(), len(self.links)]
        for node, first, last in zip(self.nodes.tolist(), firsts, firsts[1:], strict=False):
            links, near = self.links[first:last].tolist(), self.neighbors[first:last].tolist()
            pairs = [(i - first, j - first, at) for i, j, at in self.pairs if first <= i < last]
            yield node, list(zip(links, near, strict=True)), pairs


class _StarMesh:
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
        self._link_sums, pairs = _GroupSums.of(low * self.nodes + high)
        self._inflow_sums, self._inflow_nodes = _GroupSums.of(
            np.concatenate([self._ends, self._starts])
        )
        links = {divmod(int(pair), self.nodes): number for number, pair in enumerate(pairs)}
        self._link_of = [links[int(a), int(b)] for a, b in zip(low, high, strict=True)]
        self._rounds = tuple(_elimination_rounds(links, joints))
        self._count = len(links)
        self._ends_of = list(zip(self._starts.tolist(), self._ends.tolist(), strict=True))
        self._one_by_one = [each for stage in self._rounds for each in stage.one_by_one()]

    def drops(self, conductance: Array, known: Array) -> Array:
        """Head of the node before each line minus that after it [m], (n, lines)."""
        n = len(conductance)
        links = np.zeros((self._count, n))
        first = self._link_sums(conductance.T)
        links[: len(first)] = first
        inflow = np.zeros((self.nodes, n))
        inflow[self._inflow_nodes] = self._inflow_sums(np.concatenate([known.T, -known.T]))
        heads = np.zeros((self.nodes, n))
        shares = []
        for stage in self._rounds:
            links_of_node = links[stage.links]
            linked = np.add.reduceat(links_of_node, stage.first, axis=0)
            total = _total_conductance(linked)
            share = links_of_node / total[stage.node_of]
            here = inflow[stage.nodes]
            stage.add_to_links(links, share[stage.one] * links_of_node[stage.other])
            stage.add_to_neighbors(inflow, share * here[stage.node_of])
            heads[stage.nodes] = here / total
            shares.append(share)
        for stage, share in zip(reversed(self._rounds), reversed(shares), strict=True):
            heads[stage.nodes] += np.add.reduceat(
                share * heads[stage.neighbors], stage.first, axis=0
            )
        return np.ascontiguousarray((heads[self._starts] - heads[self._ends]).T)

    def drops_one_by_one(self, conductance: list[Numbers], known: list[Numbers]) -> list[Numbers]:
        """The same line by line, and node by node: of one case as floats, of more as rows (n,).

        Of few lines, or a single case, the calls for all at once cost more.
        """
        links: list[Any] = [0.0] * self._count
        inflow: list[Any] = [0.0] * self.nodes
        for link, here, more, (start, end) in zip(
            self._link_of, conductance, known, self._ends_of, strict=True
        ):
            links[link] += here
            inflow[end] += more
            inflow[start] -= more
        shares, heads = [], [0.0] * self.nodes
        for node, links_of_node, pairs in self._one_by_one:
            total = _total_conductance(sum(links[link] for link, _ in links_of_node))
            share = [links[link] / total for link, _ in links_of_node]
            for one, other, link in pairs:
                links[link] += share[one] * links[links_of_node[other][0]]
            for part, (_, near) in zip(share, links_of_node, strict=True):
                inflow[near] += part * inflow[node]
            heads[node] = inflow[node] / total
            shares.append(share)
        for (node, links_of_node, _), share in zip(
            reversed(self._one_by_one), reversed(shares), strict=True
        ):
            heads[node] += sum(
                part * heads[near] for part, (_, near) in zip(share, links_of_node, strict=True)
            )
        return [heads[start] - heads[end] for start, end in self._ends_of]


def _total_conductance(linked: Any) -> Any:
    """Sums of nodes' links; 1 for a joint that only shut lines reach, whose head is undefined."""
    return np.where(linked > 0, linked, 1.0) if isinstance(linked, np.ndarray) else linked or 1.0


def _elimination_rounds(
    links: dict[tuple[int, int], int], joints: int
) -> Iterator[_EliminationRound]:
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
        yield _EliminationRound(
            nodes=_indices(nodes),
            links=_indices([links[min(edge), max(edge)] for edge in edges]),
            first=_indices(first),
            node_of=_indices([nodes.index(node) for node, _ in edges]),
            neighbors=_indices([other for _, other in edges]),
            add_to_neighbors=_ScatterAdd.of([other for _, other in edges]),
            one=_indices([i for i, _ in pairs]),
            other=_indices([j for _, j in pairs]),
            add_to_links=_ScatterAdd.of(between),
            pairs=tuple((i, j, link) for (i, j), link in zip(pairs, between, strict=True)),
        )


def _indices(values: list[int]) -> _Indices:
    return np.array(values, dtype=np.intp)


@lru_cache(maxsize=256)
def _star_mesh(starts: bytes, ends: bytes, joints: int) -> _StarMesh:
    """The `_StarMesh` between these joints, cached: every solver step asks for them."""
    return _StarMesh(np.frombuffer(starts, np.intp), np.frombuffer(ends, np.intp), joints)
