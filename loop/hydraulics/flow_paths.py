"""Which lines of a network water can flow through."""

from collections import defaultdict
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from loop.hydraulics.network import SEA_IN, SEA_OUT, Network

# A line number, the end at which water enters, and the end at which it leaves.
_DirectedLine: TypeAlias = tuple[int, int, int]
_Ways: TypeAlias = tuple[NDArray[np.bool_], bool]


def open_lines(network: Network) -> NDArray[np.bool_]:
    """Whether water can flow through each line, in either direction: not shut, no dead end."""
    return _ways_of(network)[0]


def runs_on_to_sea(network: Network) -> bool:
    """Whether water can run from the pump to the sea in the order of the file all the way."""
    return _ways_of(network)[1]


def _ways_of(network: Network) -> _Ways:
    """Which lines are open, and whether the pump's leads on to the sea; kept on the network."""
    kept = vars(network)
    if "ways" not in kept:
        ends = ((one.start, one.end, one.one_way, one.shut) for one in network.lines)
        kept["ways"] = _ways(tuple(ends), network.pump_line)
    ways: _Ways = kept["ways"]
    return ways


@lru_cache(maxsize=256)
def _ways(lines: tuple[tuple[int, int, bool, bool], ...], pump_line: int) -> _Ways:
    directed: list[_DirectedLine] = []
    for number, (start, end, one_way, shut) in enumerate(lines):
        if not shut:
            directed.append((number, start, end))
            if not one_way:
                directed.append((number, end, start))
    directed = _without_dead_ends(directed)
    reached = {SEA_IN}
    while more := {head for _, tail, head in directed if tail in reached} - reached:
        reached |= more
    fed = {number for number, tail, _ in directed if tail in reached}
    found = np.array([number in fed for number in range(len(lines))])
    found.flags.writeable = False
    ahead = {lines[pump_line][0]}
    for number, (start, end, _, _) in enumerate(lines):
        if number in fed and start in ahead:
            ahead.add(end)
    return found, SEA_OUT in ahead


def _without_dead_ends(directed: list[_DirectedLine]) -> list[_DirectedLine]:
    """The directed lines that another line can feed and another can drain."""
    into: dict[int, set[int]] = defaultdict(set)
    out_of: dict[int, set[int]] = defaultdict(set)
    for number, tail, head in directed:
        out_of[tail].add(number)
        into[head].add(number)
    sea = {SEA_IN, SEA_OUT}
    kept = [
        (number, tail, head)
        for number, tail, head in directed
        if (tail in sea or into[tail] - {number}) and (head in sea or out_of[head] - {number})
    ]
    return directed if len(kept) == len(directed) else _without_dead_ends(kept)
