"""Joint heads of a linear network: conductances between joints and the sea.

This is nodal analysis; ``conductance`` is a line's conductance.
"""

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from typing import Any

import numpy as np

from loop.curve import Array
from loop.hydraulics.network import Network

# An eliminated node, its (link, neighbor) pairs, and, for every two neighbors by position, the link
# between them.
_EliminatedNode = tuple[int, list[tuple[int, int]], list[tuple[int, int, int]]]
# Up to so many cases, floats are faster than arrays: measured.
_AS_FLOATS = 3


def joint_drops(network: Network, conductance: Array, known: Array) -> Array:
    """Head of the joint before each line minus that after it, with all joints in balance.

    Parameters
    ----------
    network : Network
    conductance : array, shape (n, lines)
        Conductance of each line [m²/s], flow per meter of head, 0 or more.
    known : array, shape (n, lines) or (n, lines, k)
        Flow of each line with every joint at zero head [m³/s]; of k answers for each case.

    Returns
    -------
    array, of the shape of `known`
        Head [m]; all 0 if there are no joints.
    """
    if not network.joints:
        return np.zeros_like(known)
    links = _star_mesh(network.starts.tobytes(), network.ends.tobytes(), network.joints)
    if len(known) <= _AS_FLOATS and known.ndim == 2:  # of more as rows of all cases
        cases = zip(conductance.tolist(), known.tolist(), strict=True)
        return np.array([links.drops(*case) for case in cases])
    conductance = conductance if known.ndim == 2 else conductance[:, :, None]
    rows = (list(np.ascontiguousarray(part.swapaxes(0, 1))) for part in (conductance, known))
    found = np.empty_like(known)
    for number, drop in enumerate(links.drops(*rows)):
        found[:, number] = drop
    return found


class _StarMesh:
    """Links between nodes: node 0 is the sea, and a joint's node is its number plus 1.

    Joints are eliminated, those with the fewest neighbors first; their links are distributed among
    their neighbors (star-mesh transform). Nothing is ever subtracted: with walls of 1e17 beside
    open lines, plain elimination would leave only rounding error (Grassmann, Taksar & Heyman, Oper.
    Res. 33 (1985) 1107, for the similar sums of Markov chains).
    """

    def __init__(self, starts: list[int], ends: list[int], joints: int) -> None:
        self._nodes = joints + 1
        pairs = zip(starts, ends, strict=True)
        self._ends_of = [(max(start, -1) + 1, max(end, -1) + 1) for start, end in pairs]
        links: dict[tuple[int, int], int] = {}
        self._link_of = [
            links.setdefault((min(ends), max(ends)), len(links)) for ends in self._ends_of
        ]
        self._eliminated = list(_eliminated(links, joints))
        self._count = len(links)

    def drops(self, conductance: list[Any], known: list[Any]) -> list[Any]:
        """Head of the node before each line minus that after it [m], by line."""
        links: list[Any] = [0.0] * self._count
        inflow: list[Any] = [0.0] * self._nodes
        for link, here, more, (start, end) in zip(
            self._link_of, conductance, known, self._ends_of, strict=True
        ):
            links[link] += here
            inflow[end] += more
            inflow[start] -= more
        shares, heads = [], [0.0] * self._nodes
        for node, links_of_node, pairs in self._eliminated:
            total = _total_conductance(sum(links[link] for link, _ in links_of_node))
            share = [links[link] / total for link, _ in links_of_node]
            for one, other, link in pairs:
                links[link] += share[one] * links[links_of_node[other][0]]
            for part, (_, near) in zip(share, links_of_node, strict=True):
                inflow[near] += part * inflow[node]
            heads[node] = inflow[node] / total
            shares.append(share)
        for (node, links_of_node, _), share in zip(
            reversed(self._eliminated), reversed(shares), strict=True
        ):
            heads[node] += sum(
                part * heads[near] for part, (_, near) in zip(share, links_of_node, strict=True)
            )
        return [heads[start] - heads[end] for start, end in self._ends_of]


def _total_conductance(linked: Any) -> Any:
    """Sums of nodes' links; 1 for a joint that only shut lines reach, whose head is undefined."""
    return np.where(linked > 0, linked, 1.0) if isinstance(linked, np.ndarray) else linked or 1.0


def _eliminated(links: dict[tuple[int, int], int], joints: int) -> Iterator[_EliminatedNode]:
    """The joints in order of elimination; adds the links that elimination creates."""
    near: dict[int, set[int]] = {node: set() for node in range(joints + 1)}
    for one, other in links:
        if one != other:
            near[one].add(other)
            near[other].add(one)
    for _ in range(joints):
        node = min(sorted(near.keys() - {0}), key=lambda node: len(near[node]))
        neighbors = sorted(near.pop(node))
        pairs = [
            (i, j, links.setdefault((neighbors[i], neighbors[j]), len(links)))
            for i, j in combinations(range(len(neighbors)), 2)
        ]
        for other in neighbors:
            near[other].remove(node)
            near[other].update(set(neighbors) - {other})
        yield (
            node,
            [(links[min(node, other), max(node, other)], other) for other in neighbors],
            pairs,
        )


@lru_cache(maxsize=256)
def _star_mesh(starts: bytes, ends: bytes, joints: int) -> _StarMesh:
    """The `_StarMesh` between these joints, cached: every solver step asks for them."""
    first, last = (np.frombuffer(ends, np.intp).tolist() for ends in (starts, ends))
    return _StarMesh(first, last, joints)
