"""Variants solved together: cases of one network that differ only in losses and heads."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from loop.curve import FLOW_GRID, Array, GridPlace
from loop.hydraulics import Network
from loop.hydraulics.bore_steps import BoreStep, bore_steps
from loop.hydraulics.network import SEA_OUT, part_table
from loop.parts import Part
from loop.records import dataclass
from loop.seawater import Water
from loop.sweep.groups import Group, Variant

# Network fields that may differ between cases solved together.
_FREE = {
    "job", "water", "parts", "places", "labels", "branches", "heights", "start_head", "lines",
    "steps",
}  # fmt: skip
Ints = NDArray[np.intp]
T = TypeVar("T")
Stepped = tuple[Part, float]


@dataclass(frozen=True)
class Choice:
    """Variants of one group of axes that share one network structure.

    ``numbers`` are their positions in the group; ``things`` what the group changes, and ``stepped``
    the parts whose bore steps it changes.
    """

    numbers: Ints
    things: frozenset[int | str]
    variants: tuple[Variant, ...]
    stepped: frozenset[int]

    def parts(self, steps: Sequence[float]) -> Iterator[tuple[int, tuple[Stepped, ...]]]:
        """Each part that the group changes, by index, as in every variant.

        With the resistance [s²/m⁵] of the bore steps it bears: the variant's own or, if this group
        does not change it, that in `steps`.
        """
        networks = [variant.network for variant in self.variants]
        for thing in {one for one in self.things if isinstance(one, int)} | self.stepped:
            own = thing in self.stepped
            yield (
                thing,
                tuple(
                    (network.parts[thing], network.steps[thing] if own else steps[thing])
                    for network in networks
                ),
            )

    @property
    def heads(self) -> Array:
        """Head of each variant minus that of the first [m], at the intake or the outlet."""
        heads = np.array([v.network.start_head - _outlet(v.network) for v in self.variants])
        return np.asarray(heads - heads[0])


def choices(groups: Sequence[Group]) -> list[list[Choice]]:
    """The variants of each group, collected by structure."""
    stepped = [_stepped(group) for group in groups]
    return [
        _choices(group, own, _shared(groups, stepped, number))
        for number, (group, own) in enumerate(zip(groups, stepped, strict=True))
    ]


def _choices(group: Group, stepped: frozenset[int], shared: frozenset[int]) -> list[Choice]:
    found: dict[Any, list[int]] = {}
    for number, variant in enumerate(group.variants):
        found.setdefault(_structure(variant.network, shared), []).append(number)
    return [
        Choice(
            np.array(numbers, dtype=np.intp),
            group.things,
            tuple(group.variants[number] for number in numbers),
            stepped - shared,
        )
        for numbers in found.values()
    ]


def _stepped(group: Group) -> frozenset[int]:
    """The parts whose bore steps differ between the variants of a group."""
    first, *others = (_borne(variant.network) for variant in group.variants)
    return frozenset(
        index
        for other in others
        for index in first.keys() | other.keys()
        if first.get(index) != other.get(index)
    )


def _borne(network: Network) -> dict[int, list[BoreStep]]:
    """The bore steps that each part bears: different steps may have equal loss."""
    found: dict[int, list[BoreStep]] = {}
    for step in bore_steps(network.parts, network.lines, network.forks):
        found.setdefault(step.bearer, []).append(step)
    return found


def _shared(
    groups: Sequence[Group], stepped: Sequence[frozenset[int]], number: int
) -> frozenset[int]:
    """Parts whose bore steps a group changes and that another group affects too."""
    says = (
        stepped[n] | {thing for thing in group.things if isinstance(thing, int)}
        for n, group in enumerate(groups)
        if n != number
    )
    return stepped[number] & frozenset().union(*says)


def _structure(network: Network, shared: frozenset[int]) -> tuple[Any, ...]:
    """What must be equal for two networks to be solved as cases of one.

    The pump may differ, but not the lowest supply. The height of a single outlet may differ, since
    it is a head like any other, but not whether it is in air or under water. Bore steps must be
    equal if another group changes them too.
    """
    lines = network.lines
    if sum(line.end == SEA_OUT for line in lines) == 1:
        lines = tuple(replace(line, outlet_head=0.0) for line in lines)
    rest = (getattr(network, one.name) for one in fields(network) if one.name not in _FREE)
    borne = _borne(network) if shared else {}
    steps = tuple(step for index in sorted(shared) for step in borne.get(index, ()))
    return (lines, network.job.fitted, network.job.sizing.lowest_supply, steps, *rest)


def _outlet(network: Network) -> float:
    """Head of the outlet [m] if there is one; 0 for several, which no case changes."""
    heads = [line.outlet_head for line in network.lines if line.end == SEA_OUT]
    return heads[0] if len(heads) == 1 else 0.0


def _table(one: Stepped, water: Water) -> Array:
    part, step = one
    return np.asarray(part_table(part, water) + step)


class Losses:
    """A part's resistance in each variant and water, as factors on a reference variant.

    ``reference`` is that variant, in the water given, with the bore step it bears [s²/m⁵].
    """

    def __init__(self, every: Sequence[Stepped], waters: Sequence[Water], water: Water) -> None:
        # The greatest, because a loss cannot be expressed as a multiple of zero.
        self.reference = max(every, key=lambda one: float(_table(one, water)[-1]))
        own = _table(self.reference, water)
        tables = np.stack([_table(one, each) for one in every for each in waters])
        self._factors = np.ascontiguousarray(
            np.divide(tables, own, out=np.ones_like(tables), where=own > 0)
        )

    def factor(self, column: Ints, at: GridPlace) -> Array:
        """Factor on the reference's loss in each case at its flow, shape (n,).

        `column` indexes variants, and waters within each variant.
        """
        node = column * len(FLOW_GRID) + at.node
        below, above = self._factors.take(node), self._factors.take(node + 1)
        return np.asarray(below + at.share * (above - below))


def numbered(every: Sequence[T]) -> tuple[tuple[T, ...], Ints]:
    """The distinct values, and the index of each value among them, shape (n,)."""
    numbers: dict[T, int] = {}
    which = [numbers.setdefault(one, len(numbers)) for one in every]
    return tuple(numbers), np.array(which, dtype=np.intp)
