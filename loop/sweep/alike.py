"""Variants that the solver takes together: cases of one network, apart only in losses and heads."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.curve import FLOW_GRID, Array, GridPlace
from loop.hydraulics import Network
from loop.hydraulics.network import SEA_OUT, part_table
from loop.parts import Part
from loop.records import dataclass
from loop.seawater import Water
from loop.sweep.axes import Group, Variant

# What of a network may differ between the cases of one.
_FREE = {"job", "water", "parts", "places", "labels", "branches", "heights", "start_head", "lines"}
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Choice:
    """Variants of one group of axes that are of one structure.

    ``numbers`` are theirs in the group; ``things`` what the group changes.
    """

    numbers: Ints
    things: frozenset[int | str]
    variants: tuple[Variant, ...]

    def parts(self) -> Iterator[tuple[int, tuple[Part, ...]]]:
        """Each part that the group changes, by its number, as every variant has it."""
        for thing in self.things:
            if isinstance(thing, int):
                yield thing, tuple(variant.network.parts[thing] for variant in self.variants)

    @property
    def heads(self) -> Array:
        """Head [m] that each variant has over the first, at the intake or the outlet."""
        heads = np.array([v.network.start_head - _outlet(v.network) for v in self.variants])
        return np.asarray(heads - heads[0])


def choices(group: Group) -> list[Choice]:
    """The variants of a group, those of one structure together."""
    found: dict[Any, list[int]] = {}
    for number, variant in enumerate(group.variants):
        found.setdefault(_structure(variant.network), []).append(number)
    return [
        Choice(
            np.array(numbers, dtype=np.intp),
            group.things,
            tuple(group.variants[number] for number in numbers),
        )
        for numbers in found.values()
    ]


def _structure(network: Network) -> tuple[Any, ...]:
    """What must be the same for two networks to be solved as cases of one.

    Whatever pump there is. Of the outlets which are in the air; where there is one way out its
    height is a head like any other.
    """
    lines = network.lines
    if sum(line.end == SEA_OUT for line in lines) == 1:
        lines = tuple(replace(line, outlet_head=0.0) for line in lines)
    rest = (getattr(network, one.name) for one in fields(network) if one.name not in _FREE)
    return (lines, network.job.fitted, *rest)


def _outlet(network: Network) -> float:
    """Head [m] of the way out, where there is one; 0 of several, which no case changes."""
    heads = [line.outlet_head for line in network.lines if line.end == SEA_OUT]
    return heads[0] if len(heads) == 1 else 0.0


class Losses:
    """A part's resistance in each of its variants in each of the waters, as factors on one of them.

    ``reference`` is that one, in the water given. All bear the same `step` of bore [s²/m⁵].
    """

    def __init__(
        self, parts: Sequence[Part], waters: Sequence[Water], water: Water, step: float
    ) -> None:
        # One that loses nothing is no multiple of another, but nought of it.
        self.reference = max(parts, key=lambda part: float(part_table(part, water)[-1]))
        own = part_table(self.reference, water) + step
        tables = np.stack([part_table(part, each) for part in parts for each in waters]) + step
        self._factors = np.ascontiguousarray(
            np.divide(tables, own, out=np.ones_like(tables), where=own > 0)
        )

    def factor(self, column: Ints, at: GridPlace) -> Array:
        """Factor on the reference's loss in each case at its flow, shape (n,).

        `column` counts the variants, and in each of them the waters.
        """
        node = column * len(FLOW_GRID) + at.node
        below, above = self._factors.take(node), self._factors.take(node + 1)
        return np.asarray(below + at.share * (above - below))
