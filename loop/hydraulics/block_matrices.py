"""Matrices of a network's nested blocks: which contains which, and the layout of entries."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.manifolds import manifolds
from loop.hydraulics.network import Fork, Line
from loop.records import dataclass

_Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Block:
    """What lies between a manifold's joints, or, for the whole network, from sea to sea.

    Its lines, the indices of the manifolds among them, and its own index, None for the network.
    """

    lines: tuple[int, ...]
    inner: tuple[int, ...]
    fork: int | None


def blocks(forks: tuple[Fork, ...], lines: tuple[Line, ...]) -> tuple[Block, ...]:
    """A block for each manifold, in the order of `forks`, then the block of the network."""
    number_of = {fork.split: number for number, fork in enumerate(forks)}
    out_of = {line.start: number for number, line in enumerate(lines)}

    def block(first_lines: Sequence[int], fork: int | None) -> Block:
        tolerance: list[int] = []
        inner: list[int] = []
        for first in first_lines:
            line: int | None = first
            while line is not None:
                tolerance.append(line)
                next_fork = number_of.get(lines[line].end)
                if next_fork is None:
                    break
                inner.append(next_fork)
                join = forks[next_fork].join
                line = None if join is None else out_of[join]
        return Block(tuple(tolerance), tuple(inner), fork)

    main = next(number for number, line in enumerate(lines) if line.start < 0)
    return (*(block(fork.first, number) for number, fork in enumerate(forks)), block([main], None))


def by_depth(every: Sequence[Block]) -> list[list[Block]]:
    """The blocks in layers: those without inner manifolds, then those around them, and so on."""
    layers: list[list[Block]] = []
    depths: list[int] = []
    for block in every:  # inner manifolds come first
        depths.append(max((depths[number] + 1 for number in block.inner), default=0))
        if depths[-1] == len(layers):
            layers.append([])
        layers[depths[-1]].append(block)
    return layers


@dataclass(frozen=True)
class Layer:
    """Blocks of equal nesting depth, and the layout of their matrices.

    The unknowns of a block are the flow steps of its lines and, for each manifold in it, two heads:
    that from the joint where its branches leave to the joint where they meet again, and that of the
    second joint above the second joint of the block. A manifold whose branches all end overboard
    has one unknown head, that of its first joint. Heads are scaled to the flow that they drive
    through the widest line at the manifold, so that all unknowns have the same magnitude. Each line
    has a row, then each joint; every block is padded to the rows of the largest.

    ``unknowns``, (blocks, rows), numbers the unknowns as in `BlockLayers`; ``forks`` and
    ``joints``, (blocks, 2), are the blocks' own manifolds and joints; ``ends``, (blocks, rows, 2),
    marks the lines that leave the first joint and those that enter the second; ``raised``, (blocks,
    rows), marks the unknown heads that are measured from the block's second joint. The other fields
    are columns of index arrays and signs: first the position in the flattened block matrices (for
    ``ports`` and ``leaks``, in the two right-hand sides), then the entry.
    """

    unknowns: _Indices
    joints: _Indices
    forks: list[int]
    ends: Array
    raised: Array
    ones: _Indices
    tees: tuple[tuple[_Indices, ...], ...]  # line, slope
    heads: tuple[_Indices, ...]  # line, unknown, sign
    flows: tuple[_Indices, ...]  # sign
    answers: tuple[_Indices, ...]  # answer, unknown, sign
    diagonal: tuple[_Indices, ...]  # joint
    ports: tuple[_Indices, ...]  # line
    leaks: tuple[_Indices, ...]  # answer, sign

    def matrix(
        self, conductance: Array, tees: Array, scale: Array, shut: Array, answers: Array
    ) -> Array:
        """The blocks' matrices, shape (n, blocks, rows, rows).

        Arguments, all (n, …) as in `tangent_system`: conductances of the lines, slopes of the tees,
        scales of the unknowns, joints that only shut lines reach, and answers of inner manifolds.
        """
        blocks, rows = self.unknowns.shape
        found = np.zeros((len(conductance), blocks * rows * rows))
        for at, line, slope in self.tees:
            found[:, at] += conductance[:, line] * tees[:, slope]
        found[:, self.ones] += 1.0
        at, line, unknown, sign = self.heads
        found[:, at] = sign * conductance[:, line] * scale[:, unknown]
        at, sign = self.flows
        found[:, at] = sign
        at, answer, unknown, sign = self.answers
        found[:, at] = sign * answers[:, answer] * scale[:, unknown]
        at, joint = self.diagonal
        found[:, at] += shut[:, joint]
        return found.reshape(-1, blocks, rows, rows)

    def right_hand_sides(self, conductance: Array, answers: Array) -> Array:
        """Flow per meter of head, joint to joint and on both joints, (n, blocks, rows, 2)."""
        blocks, rows = self.unknowns.shape
        found = np.zeros((len(conductance), blocks * rows * 2))
        at, line = self.ports
        found[:, at] = conductance[:, line]
        at, answer, sign = self.leaks
        found[:, at] = sign * answers[:, answer]
        return found.reshape(-1, blocks, rows, 2)


class BlockLayers:
    """The layers of a network's blocks, the innermost first.

    Unknowns are numbered: the lines, then two for each manifold (first joint, second joint), then
    ``padding``, an index. ``touching`` lists the lines at each joint, one row per joint in that
    order.
    """

    def __init__(self, forks: tuple[Fork, ...], lines: tuple[Line, ...]) -> None:
        self._lines, self._forks, first = lines, forks, len(lines)
        self.padding = first + 2 * len(forks)
        self._number = {fork.split: first + 2 * i for i, fork in enumerate(forks)}
        self._number |= {
            fork.join: first + 2 * i + 1 for i, fork in enumerate(forks) if fork.join is not None
        }
        touching: list[list[int]] = [[] for _ in range(2 * len(forks))]
        for number, line in enumerate(lines):
            for joint in (line.start, line.end):
                if joint >= 0:
                    touching[self._number[joint] - first].append(number)
        most = max(map(len, touching))
        padded = [[*some, *[first] * (most - len(some))] for some in touching]
        self.touching = np.array(padded, dtype=np.intp)
        self._headers = manifolds(forks, len(lines))
        self.layers = [self._layer(some) for some in by_depth(blocks(forks, lines))]

    def _layer(self, some: Sequence[Block]) -> Layer:
        every = [[*block.lines, *self._joints_in(block)] for block in some]
        rows = max(map(len, every))
        found: dict[str, list[tuple[int, ...]]] = {kind: [] for kind in _KINDS}
        for at, (block, own) in enumerate(zip(some, every, strict=True)):
            row_of = {unknown: row for row, unknown in enumerate(own)}
            for kind, row, column, *what in self._entries(block, row_of):
                wide = 2 if kind in _RIGHT_HAND_KINDS else rows
                found[kind].append(((at * rows + row) * wide + column, *what))
            none = range(len(own), rows)
            diagonal = [*range(len(block.lines)), *none]
            found["one"] += [((at * rows + row) * rows + row,) for row in diagonal]
            own += [self.padding] * len(none)
        kinds = {kind: _columns(entries, _KINDS[kind]) for kind, entries in found.items()}
        marked = {kind: np.zeros(len(some) * rows * 2) for kind in ("end", "raised")}
        for kind, places in marked.items():
            places[kinds[kind][0]] = 1.0
        return Layer(
            unknowns=np.array(every),
            joints=np.array([self._joints(block.fork) for block in some]),
            forks=[block.fork for block in some if block.fork is not None],
            ends=marked["end"].reshape(len(some), rows, 2),
            raised=marked["raised"].reshape(len(some), rows, 2)[..., 1],
            ones=kinds["one"][0],
            tees=(kinds["leaving"], kinds["returning"]),
            heads=kinds["head"],
            flows=kinds["flow"],
            answers=kinds["answer"],
            diagonal=kinds["diagonal"],
            ports=kinds["port"],
            leaks=kinds["leak"],
        )

    def _joints(self, fork: int | None) -> tuple[int, int]:
        """Numbers of a manifold's two joints; ``padding`` twice for the whole network."""
        if fork is None:
            return self.padding, self.padding
        first = len(self._lines) + 2 * fork
        return first, first + 1

    def _joints_in(self, block: Block) -> list[int]:
        """Numbers of the joints of the manifolds inside a block."""
        ends = [self._joints(fork) for fork in block.inner]
        joined = [self._forks[fork].join is not None for fork in block.inner]
        return [joint for two, both in zip(ends, joined, strict=True) for joint in two[: 1 + both]]

    def _entries(self, block: Block, row_of: dict[int, int]) -> Iterator[tuple[Any, ...]]:
        for number in block.lines:
            yield from self._line_entries(number, row_of)
        for fork in block.inner:
            ends = [joint for joint in self._joints(fork) if joint in row_of]
            for one, joint in enumerate(ends):
                yield "diagonal", row_of[joint], row_of[joint], joint - len(self._lines)
                for other, unknown in enumerate(ends):
                    # Flow leaving at the first joint is subtracted, flow returning at the second is
                    # added.
                    answer, sign = 4 * fork + 2 * one + other, 2 * one - 1
                    yield "answer", row_of[joint], row_of[unknown], answer, unknown, sign
                    if other:
                        yield "leak", row_of[joint], 1, answer, -sign
            if len(ends) == 2:
                yield "raised", row_of[ends[1]], 1
        for kind, line, other, slope in self._headers.charges:
            if line in row_of:
                yield kind, row_of[line], row_of[other], line, slope

    def _line_entries(self, number: int, row_of: dict[int, int]) -> Iterator[tuple[Any, ...]]:
        line, row = self._lines[number], row_of[number]
        start, end = (self._number.get(joint, self.padding) for joint in (line.start, line.end))
        if start in row_of:
            yield "head", row, row_of[start], number, start, -1
            yield "flow", row_of[start], row, -1
        elif start < self.padding:
            yield "port", row, 0, number
            yield "end", row, 0
        for unknown in (end, end + 1):
            if unknown in row_of:
                yield "head", row, row_of[unknown], number, unknown, 1
        if end in row_of:
            yield "flow", row_of[end], row, 1
        elif end < self.padding:
            yield "end", row, 1
        # The head of a line that ends in the sea, directly or past a manifold, does not rise with
        # the block's joints.
        if end == self.padding or (end in row_of and end + 1 not in row_of):
            yield "port", row, 1, number


# Columns per kind of entry: its position, then its content; and the kinds of the two right-hand
# sides.
_KINDS = {
    "one": 1, "leaving": 3, "returning": 3, "head": 4, "flow": 2, "answer": 4, "diagonal": 2,
    "port": 2, "leak": 3, "end": 1, "raised": 1,
}  # fmt: skip
_RIGHT_HAND_KINDS = ("port", "leak", "end", "raised")


def _columns(entries: list[tuple[int, ...]], count: int) -> tuple[_Indices, ...]:
    return tuple(np.array(entries, dtype=np.intp).reshape(-1, count).T)


@lru_cache(maxsize=64)
def block_layers(forks: tuple[Fork, ...], lines: tuple[Line, ...]) -> BlockLayers:
    """The `BlockLayers` of these forks and lines, cached: every coupled Newton step asks for it."""
    return BlockLayers(forks, lines)
