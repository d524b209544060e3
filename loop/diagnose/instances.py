"""Every fault at every site where one loop can have it, and pairs of faults: the hypotheses."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache, cached_property
from itertools import chain, combinations, product

import numpy as np

from loop.curve import Array, IntArray
from loop.diagnose.faults import (
    BY_NAME,
    FAULTS,
    HIDING,
    PAIRS,
    STALLED,
    TWO_FAULTS,
    UNKNOWN,
    Fault,
    pair_name,
)
from loop.diagnose.model_change import ModelChange, Site
from loop.diagnose.unlisted_fault import NUMBERS
from loop.hydraulics import Network
from loop.job import JobError
from loop.records import dataclass
from loop.words.diagnosis import SAY

GRID = 14
# Indices of a fault's severity cells that its pairs use.
_PAIR_CELLS = (2, 7, 12)
# Above this number of units the severity grid is coarser, to limit memory and the card's size.
_MANY_UNITS, _COARSE_GRID, _COARSE_CELLS = 5, 6, (1, 4)
# How often the pump stops with its only unit, relative to running on (engineering estimate).
_STANDS = 0.5
_LEAST = 1e-9

# Weight of a pair of `PAIRS` relative to the product of its faults' weights, and the most pairs
# included: the heaviest (engineering estimates).
_TOGETHER = 3.0
_MOST_PAIRS = 90
# Families whose faults form no ordinary pairs.
_ALONE = ("dead", "none")
# Faults that show only once the water is back, or the unit runs: how many of the commonest are
# considered behind one that hides them, and the share of trips with one. Other hiding faults have a
# second fault as often as any call (`TWO_FAULTS`), but a unit trips for a reason, which a reset
# does not cure, whether its pump stops with it or not (engineering estimate).
_MOST_BEHIND = 6
_BEHIND_A_TRIP = 0.4


@dataclass(frozen=True)
class Instance:
    """A fault at a site, or a pair: ``severities`` (s, faults), and the weight ``prior``."""

    faults: tuple[Fault, ...]
    sites: tuple[Site, ...]
    severities: Array
    prior: float

    @cached_property
    def name(self) -> str:
        """Name, such as ``strainer-blocked`` or ``strainer-blocked + condenser-scaled``."""
        return " + ".join(fault.name for fault in self.faults)

    @cached_property
    def where(self) -> str:
        """Its site, in words."""
        return " + ".join(dict.fromkeys(site.where for site in self.sites))

    @property
    def stops(self) -> float:
        """Share of its weight in its last row, with which no water comes; 0 for a pair."""
        return self.faults[0].stops if len(self.faults) == 1 else 0.0

    @cached_property
    def parts(self) -> frozenset[tuple[str, str]]:
        """Its faults, each by name and site."""
        pairs = zip(self.faults, self.sites, strict=True)
        return frozenset((fault.name, site.where) for fault, site in pairs)

    @cached_property
    def behind(self) -> frozenset[tuple[str, str]]:
        """The fault of a pair that the other hides, by name and site; empty for none.

        Also empty where its severity shows nevertheless, so that the pair has several rows.
        """
        if self.hiding is None or len(self.faults) == 1 or len(self.severities) > 1:
            return frozenset()
        return frozenset({(self.faults[1].name, self.sites[1].where)})

    @cached_property
    def hides(self) -> bool:
        """Whether it is a single fault that stops all water, and so hides any other."""
        return len(self.faults) == 1 and self.hiding is not None

    @cached_property
    def hides_symptoms(self) -> bool:
        """Whether other faults show only after its fix: no water comes, or a unit has tripped."""
        return any(fault.name in HIDING for fault in self.faults)

    @cached_property
    def hiding(self) -> Fault | None:
        """The fault that stops all water, so that no other can be seen; None without one."""
        pairs = zip(self.faults, self.sites, strict=True)
        return next((fault for fault, site in pairs if fault.family == "dead" or site.still), None)

    def changes(
        self, network: Network, severities: Array, under_way: bool = False
    ) -> list[ModelChange]:
        """The model change at each row of severities; each fault is evaluated once per severity."""
        single: list[list[ModelChange]] = []
        for fault, site, column in zip(self.faults, self.sites, severities.T.tolist(), strict=True):
            change = (under_way and fault.under_way) or fault.change
            known = {value: change(network, site, value) for value in dict.fromkeys(column)}
            single.append([known[value] for value in column])
        if len(single) == 1:
            return single[0]
        return [one & other for one, other in zip(*single, strict=True)]


def all_changes(
    some: Iterable[Instance], network: Network, under_way: bool = False
) -> list[ModelChange]:
    """The changes at every row of severities of these instances, concatenated."""
    return [*chain(*(one.changes(network, one.severities, under_way) for one in some))]


def instances(network: Network, units: int, prior: Mapping[str, float]) -> tuple[Instance, ...]:
    """Every fault at every possible site of this loop, and the likeliest pairs.

    Parameters
    ----------
    network : Network
    units : int
        How many condensers are considered.
    prior : mapping
        Weight of a fault by its name (a pair's is ``"one + other"``), instead of the default. A
        fault with several sites shares its weight among them.

    Raises
    ------
    JobError
        A name in `prior` that is no fault.
    """
    unknown = [name for name in prior if not set(name.split(" + ")) <= set(BY_NAME)]
    if unknown:
        raise JobError([SAY("wrong-prior-fault", fault=repr(name)) for name in unknown])
    dc = network.pump.curve.drive == "dc"
    grid = GRID if units <= _MANY_UNITS else _COARSE_GRID
    found: list[Instance] = []
    for fault in FAULTS:
        at = list(fault.sites(network, units))
        usual = fault.on_dc if dc and fault.on_dc is not None else fault.prior
        shares = [_STANDS if site.still else 1.0 for site in at]
        # A pump that stops with the fault is an additional site, and adds to its weight.
        usual *= sum(shares) / max(shares.count(1.0), 1) if at else 1.0
        weight = prior.get(fault.name, usual) / max(sum(shares), 1.0)
        if fault.name == "healthy":  # the reference of all else, so it is always included
            weight = max(weight, _LEAST)
        severities = NUMBERS if fault.name == UNKNOWN else fault.grid(grid)
        found += [
            Instance((fault,), (site,), severities[:, None], share * weight)
            for site, share in zip(at, shares, strict=True)
        ]
    found = [one for one in found if one.prior > 0]
    cells = _PAIR_CELLS if grid == GRID else _COARSE_CELLS
    alone, behind = _hidden_pairs(found, units, cells, prior)
    return (*alone, *_pairs(found, cells, prior), *behind)


def _can_be_paired(single: list[Instance]) -> list[Instance]:
    """Instances that can be paired with any other, or hidden behind one."""
    return [one for one in single if one.faults[0].family not in _ALONE and not one.hides_symptoms]


def _pairs(
    single: list[Instance], cells: tuple[int, ...], prior: Mapping[str, float]
) -> list[Instance]:
    """The heaviest pairs, scaled to the share of calls with two faults."""
    able = _can_be_paired(single)
    whole = sum(one.prior for one in single)
    weighed = []
    for one, other in combinations(able, 2):
        a, b = one.faults[0], other.faults[0]
        if a.name != b.name and not (a.family and a.family == b.family):
            name = (a.name, b.name) if (a.name, b.name) in PAIRS else (b.name, a.name)
            likely = _TOGETHER if name in PAIRS else 1.0
            weighed.append((one.prior * other.prior * likely / whole**2, name, one, other))
    weighed.sort(key=lambda item: -item[0])
    kept = weighed[:_MOST_PAIRS]
    total = sum(item[0] for item in kept)
    found = []
    for weight, name, one, other in kept:
        first, second = (one, other) if one.faults[0].name == name[0] else (other, one)
        share = _stated_weight(prior, name, TWO_FAULTS * whole * weight / total)
        found.append(_pair(first, second, cells, share))
    return [one for one in found if one.prior > 0]


def _hidden_pairs(
    single: list[Instance], units: int, cells: tuple[int, ...], prior: Mapping[str, float]
) -> tuple[list[Instance], list[Instance]]:
    """Faults that hide others, alone and with the commonest of them behind: instances and pairs.

    Together they keep the prior of the hiding fault: nothing separates them until the water is
    back. The hidden severity shows no sooner, so such a pair is one row; a trip with the water
    running has several.
    """
    others = _can_be_paired(single)
    alone, pairs = [], []
    for one in single:
        fault = one.faults[0]
        unit = one.sites[0].unit
        # A fault of one unit is hidden only behind that unit's trip, as often as on a single-unit
        # boat.
        likely = [
            (other.prior * (units if other.sites[0].unit == unit >= 0 else 1), other)
            for other in others
            if unit < 0 or other.sites[0].unit in (-1, unit)
        ]
        likely.sort(key=lambda item: -item[0])
        hidden = likely[:_MOST_BEHIND] if one.hides_symptoms else []
        if fault.name in STALLED:
            read = [(_TOGETHER * weight, other) for weight, other in likely if _is_read(other)]
            hidden = [*(item for item in hidden if not _is_read(item[1])), *read]
        whole = sum(weight for weight, _ in hidden)
        share = (TWO_FAULTS if fault.family == "dead" else _BEHIND_A_TRIP) if hidden else 0.0
        alone.append(replace(one, prior=(1.0 - share) * one.prior))
        for weight, other in hidden:
            weight = share * one.prior * weight / whole
            weight = _stated_weight(prior, (fault.name, other.faults[0].name), weight)
            hides = one.hides and not _is_read(other)
            pairs.append(_pair(one, other, () if hides else cells, weight))
    return alone, [one for one in pairs if one.prior > 0]


def _is_read(one: Instance) -> bool:
    """Whether a meter shows the fault though nothing turns: low volts."""
    return one.faults[0].name == "supply-low"


def _stated_weight(prior: Mapping[str, float], name: tuple[str, str], usual: float) -> float:
    """The stated weight of a pair, by either order of its names; else the default."""
    return prior.get(pair_name(name), prior.get(pair_name((name[1], name[0])), usual))


def _pair(one: Instance, other: Instance, cells: tuple[int, ...], prior: float) -> Instance:
    """A pair on the product of these cells of both severities; without cells, at the middle."""
    axes = [
        part.severities[list(cells), 0]
        if cells and len(part.severities) > 1
        else part.severities[[len(part.severities) // 2], 0]
        for part in (one, other)
    ]
    rows = np.array(list(product(*axes)))
    return Instance(one.faults + other.faults, one.sites + other.sites, rows, prior)


def cells(instance: Instance) -> list[tuple[IntArray, IntArray, Array]]:
    """Neighbors in the severity grid, per fault of the instance.

    Returns, per fault, for each row of severities: the row one cell below on that fault's axis, the
    row one above (itself at an end), and 1 / number of cells between them. Omits an axis of one
    cell, and a last row that stops all water: neither has spread.
    """
    grid = instance.severities[:-1] if instance.stops else instance.severities
    return _neighbours(tuple(len(set(column)) for column in grid.T.tolist()))


@cache
def _neighbours(shape: tuple[int, ...]) -> list[tuple[IntArray, IntArray, Array]]:
    """The same for any grid of that shape."""
    index = np.arange(math.prod(shape)).reshape(shape)
    found = []
    for axis, count in enumerate(shape):
        if count > 1:
            at = np.arange(count)
            below, above = np.maximum(at - 1, 0), np.minimum(at + 1, count - 1)
            step = np.broadcast_to(
                np.expand_dims(
                    1.0 / (above - below), tuple(i for i in range(len(shape)) if i != axis)
                ),
                shape,
            )
            found.append(
                (
                    np.take(index, below, axis).ravel(),
                    np.take(index, above, axis).ravel(),
                    step.ravel(),
                )
            )
    return found
