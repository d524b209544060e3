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
_MAY_DIFFER = {
    "job", "water", "parts", "places", "labels", "branches", "heights", "start_head", "lines",
    "steps",
}  # fmt: skip
Ints = NDArray[np.intp]
T = TypeVar("T")
PartWithStep = tuple[Part, float]


@dataclass(frozen=True)
class VariantSet:
    """Variants of one group of axes that share one network structure.

    ``numbers`` are their positions in the group; ``changed`` what the group changes, and
    ``step_changes`` the parts whose bore steps it changes.
    """

    numbers: Ints
    changed: frozenset[int | str]
    variants: tuple[Variant, ...]
    step_changes: frozenset[int]

    def parts(self, steps: Sequence[float]) -> Iterator[tuple[int, tuple[PartWithStep, ...]]]:
        """Each part that the group changes, by index, as in every variant.

        With the resistance [s²/m⁵] of the bore steps it bears: the variant's own or, if this group
        does not change it, that in `steps`.
        """
        networks = [variant.network for variant in self.variants]
        for index in {one for one in self.changed if isinstance(one, int)} | self.step_changes:
            own_step = index in self.step_changes
            yield (
                index,
                tuple(
                    (network.parts[index], network.steps[index] if own_step else steps[index])
                    for network in networks
                ),
            )

    @property
    def heads(self) -> Array:
        """Head of each variant minus that of the first [m], at the intake or the outlet."""
        heads = np.array([v.network.start_head - _outlet_head(v.network) for v in self.variants])
        return np.asarray(heads - heads[0])


def by_structure(groups: Sequence[Group]) -> list[list[VariantSet]]:
    """The variants of each group, collected by structure."""
    step_changes = [_changed_steps(group) for group in groups]
    return [
        _variant_sets(group, own_changes, _shared_steps(groups, step_changes, number))
        for number, (group, own_changes) in enumerate(zip(groups, step_changes, strict=True))
    ]


def _variant_sets(
    group: Group, step_changes: frozenset[int], shared: frozenset[int]
) -> list[VariantSet]:
    found: dict[Any, list[int]] = {}
    for number, variant in enumerate(group.variants):
        found.setdefault(_structure(variant.network, shared), []).append(number)
    return [
        VariantSet(
            np.array(numbers, dtype=np.intp),
            group.changed,
            tuple(group.variants[number] for number in numbers),
            step_changes - shared,
        )
        for numbers in found.values()
    ]


def _changed_steps(group: Group) -> frozenset[int]:
    """The parts whose bore steps differ between the variants of a group."""
    first, *others = (_steps_by_part(variant.network) for variant in group.variants)
    return frozenset(
        index
        for other in others
        for index in first.keys() | other.keys()
        if first.get(index) != other.get(index)
    )


def _steps_by_part(network: Network) -> dict[int, list[BoreStep]]:
    """The bore steps that each part bears: different steps may have equal loss."""
    found: dict[int, list[BoreStep]] = {}
    for step in bore_steps(network.parts, network.lines, network.forks):
        found.setdefault(step.bearer, []).append(step)
    return found


def _shared_steps(
    groups: Sequence[Group], step_changes: Sequence[frozenset[int]], number: int
) -> frozenset[int]:
    """Parts whose bore steps a group changes and that another group affects too."""
    touched = (
        step_changes[n] | {thing for thing in group.changed if isinstance(thing, int)}
        for n, group in enumerate(groups)
        if n != number
    )
    return step_changes[number] & frozenset().union(*touched)


def _structure(network: Network, shared: frozenset[int]) -> tuple[Any, ...]:
    """What must be equal for two networks to be solved as cases of one.

    The pump may differ, but not the lowest supply. The height of a single outlet may differ, since
    it is a head like any other, but not whether it is in air or under water. Bore steps must be
    equal if another group changes them too.
    """
    lines = network.lines
    if sum(line.end == SEA_OUT for line in lines) == 1:
        lines = tuple(replace(line, outlet_head=0.0) for line in lines)
    other_fields = (
        getattr(network, one.name) for one in fields(network) if one.name not in _MAY_DIFFER
    )
    borne = _steps_by_part(network) if shared else {}
    steps = tuple(step for index in sorted(shared) for step in borne.get(index, ()))
    return (lines, network.job.fitted, network.job.sizing.lowest_supply, steps, *other_fields)


def _outlet_head(network: Network) -> float:
    """Head of the outlet [m] if there is one; 0 for several, which no case changes."""
    heads = [line.outlet_head for line in network.lines if line.end == SEA_OUT]
    return heads[0] if len(heads) == 1 else 0.0


def _resistances(part_with_step: PartWithStep, water: Water) -> Array:
    part, step = part_with_step
    return np.asarray(part_table(part, water) + step)


class LossFactors:
    """A part's resistance in each variant and water, as factors on a reference variant.

    ``reference`` is that variant, in the water given, with the bore step it bears [s²/m⁵].
    """

    def __init__(
        self, variants: Sequence[PartWithStep], waters: Sequence[Water], water: Water
    ) -> None:
        # The greatest, because a loss cannot be expressed as a multiple of zero.
        self.reference = max(variants, key=lambda one: float(_resistances(one, water)[-1]))
        reference_table = _resistances(self.reference, water)
        tables = np.stack([_resistances(one, each) for one in variants for each in waters])
        self._factors = np.ascontiguousarray(
            np.divide(tables, reference_table, out=np.ones_like(tables), where=reference_table > 0)
        )

    def factor(self, column: Ints, place: GridPlace) -> Array:
        """Factor on the reference's loss in each case at its flow, shape (n,).

        `column` indexes variants, and waters within each variant.
        """
        node = column * len(FLOW_GRID) + place.node
        below, above = self._factors.take(node), self._factors.take(node + 1)
        return np.asarray(below + place.share * (above - below))


def distinct_values(values: Sequence[T]) -> tuple[tuple[T, ...], Ints]:
    """The distinct values, and the index of each value among them, shape (n,)."""
    numbers: dict[T, int] = {}
    indices = [numbers.setdefault(one, len(numbers)) for one in values]
    return tuple(numbers), np.array(indices, dtype=np.intp)
