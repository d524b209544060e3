"""Which lines of a network water can flow through."""

from collections import defaultdict
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from loop.hydraulics.network import SEA_IN, SEA_OUT, Line, Network

# A line number, the end at which water enters, and the end at which it leaves.
_DirectedLine: TypeAlias = tuple[int, int, int]


def open_lines(network: Network) -> NDArray[np.bool_]:
    """Whether water can flow through each line, in either direction: not shut, no dead end."""
    return _open_lines(network.lines)


@lru_cache(maxsize=256)
def _open_lines(lines: tuple[Line, ...]) -> NDArray[np.bool_]:
    directed: list[_DirectedLine] = []
    for number, line in enumerate(lines):
        if not line.shut:
            directed.append((number, line.start, line.end))
            if not line.one_way:
                directed.append((number, line.end, line.start))
    directed = _without_dead_ends(directed)
    reached = {SEA_IN}
    while more := {head for _, tail, head in directed if tail in reached} - reached:
        reached |= more
    fed = {number for number, tail, _ in directed if tail in reached}
    found = np.array([number in fed for number in range(len(lines))])
    found.flags.writeable = False
    return found


def runs_on_to_sea(network: Network) -> bool:
    """Whether water can run from the pump to the sea in the order of the file all the way."""
    return _runs_on_to_sea(network.lines, network.pump_line)


@lru_cache(maxsize=256)
def _runs_on_to_sea(lines: tuple[Line, ...], pump_line: int) -> bool:
    reached = {lines[pump_line].start}
    for line, is_open in zip(lines, _open_lines(lines).tolist(), strict=True):
        if is_open and line.start in reached:
            reached.add(line.end)
    return SEA_OUT in reached


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
