"""Which lines carry flow, and the shortest path along flowing lines to or from the sea."""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.network import Network
from loop.hydraulics.nodes import joint_drops

# Flow [m³/s] treated as none: 3.6 mL per hour. In 3/4 in hose it loses about 1e-8 m per meter, the
# tolerance to which heads are balanced; anything smaller is rounding error.
TRICKLE = 1e-9


def without_trickle(network: Network, line_flow: Array) -> Array:
    """The lines' flows with those below `TRICKLE` set to 0 and the joints rebalanced.

    A line keeps its flow only if flowing lines lead to it from the sea and from it to the sea, so
    that every path along the flow ends.

    Parameters
    ----------
    network : Network
    line_flow : array, shape (lines,)
        Flow [m³/s], below 0 where it runs against the order of the file.

    Returns
    -------
    array, shape (lines,)
        `line_flow` itself if no line has to be set to 0.
    """
    flow = np.asarray(line_flow, dtype=float)
    for _ in range(len(network.lines)):  # each round but the last sets at least one line to 0
        none = (flow != 0) & ((np.abs(flow) < TRICKLE) | ~_connected_to_sea(network, flow))
        if not none.any():
            break
        kept = np.where(none, 0.0, flow)
        conductance = np.abs(kept)[None, :]
        flow = kept + (conductance * joint_drops(network, conductance, kept[None, :]))[0]
    return flow


def path_to_sea(network: Network, line_flow: Array, line: int, sense: int = 1) -> tuple[int, ...]:
    """The shortest path along the flow from a line to the sea, that line excluded.

    Parameters
    ----------
    network : Network
    line_flow : array, shape (lines,)
        Flow [m³/s] as `without_trickle` gives it.
    line : int
        A line with flow.
    sense : int
        1 with the flow; −1 upstream, the nearest line first.

    Raises
    ------
    ValueError
        No flow leads from this line to the sea.
    """
    leaving = _lines_from_joints(network, line_flow, sense)
    paths: dict[int, tuple[int, ...]] = {line: ()}
    queue = [line]
    for number in queue:  # breadth-first: grows by each line once
        joint = _far_end(network, line_flow, number, sense)
        if joint < 0:
            return paths[number]
        for other in leaving.get(joint, ()):
            if other not in paths:
                paths[other] = (*paths[number], other)
                queue.append(other)
    raise ValueError(f"no water runs from line {line} to the sea")


def _connected_to_sea(network: Network, line_flow: Array) -> NDArray[np.bool_]:
    """Whether flowing lines lead to each line all the way from the sea and on to the sea."""
    both = set(range(len(network.lines)))
    for sense in (1, -1):
        # From the sea backwards: lines into a joint from which the sea is reached.
        arriving = _lines_from_joints(network, line_flow, -sense)
        found = [
            number
            for number in range(len(network.lines))
            if line_flow[number] != 0 and _far_end(network, line_flow, number, sense) < 0
        ]
        known = set(found)
        for number in found:
            joint = _far_end(network, line_flow, number, -sense)
            for other in arriving.get(joint, ()):
                if other not in known:
                    known.add(other)
                    found.append(other)
        both &= known
    return np.array([number in both for number in range(len(network.lines))])


def _far_end(network: Network, line_flow: Array, number: int, sense: int) -> int:
    """Joint, or sea (below 0), that a line's water flows to; sense −1: comes from."""
    line = network.lines[number]
    return line.end if line_flow[number] * sense > 0 else line.start


def _lines_from_joints(network: Network, line_flow: Array, sense: int) -> dict[int, list[int]]:
    """The lines that take water from each joint; sense −1: that bring water to it."""
    found: dict[int, list[int]] = {}
    for number in range(len(network.lines)):
        if line_flow[number] != 0:
            joint = _far_end(network, line_flow, number, -sense)
            if joint >= 0:
                found.setdefault(joint, []).append(number)
    return found
