"""Nesting of a network's manifolds: blocks, each with one manifold's lines and inner manifolds."""

from collections.abc import Sequence

from loop.hydraulics.network import Fork, Line
from loop.records import dataclass


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
