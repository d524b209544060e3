"""Every fault at every place where one loop can have it, and two at once: the hypotheses."""

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
    TWO_FAULTS,
    UNKNOWN,
    Fault,
    pair_name,
)
from loop.diagnose.model_change import ModelChange, Site
from loop.diagnose.something_else import NUMBERS
from loop.hydraulics import Network
from loop.job import JobError
from loop.records import dataclass
from loop.words.diagnosis import SAY

GRID = 14
# Cells of a fault's grid that its pairs take.
_PAIR_CELLS = (2, 7, 12)
# Above so many units each unit's faults have fewer cells, for the sake of memory and a card's size.
_MANY_UNITS, _COARSE_GRID, _COARSE_CELLS = 5, 6, (1, 4)
# How often the pump stands with its one unit, over how often it runs on (engineering estimate).
_STANDS = 0.5
_LEAST = 1e-9

# What a pair of `PAIRS` weighs over the product of its faults' weights, and the most pairs that are
# looked at: those of least weight are left out (engineering estimates).
_TOGETHER = 3.0
_MOST_PAIRS = 90
# Families of which a call has one fault or none beside it.
_ALONE = ("dead", "none")
# What shows once the water is back, or the unit runs: the commonest faults behind one that hides
# them, and how many of these calls have one: as many as any, but a unit that has tripped did so for
# a reason, which a reset does not cure, whether its pump stands with it or not (engineering
# estimate).
_MOST_BEHIND = 6
_BEHIND_A_TRIP = 0.4


@dataclass(frozen=True)
class Instance:
    """A fault at a place, or two at once: ``severities`` (s, faults), and the weight ``prior``."""

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
        """Where it is, in words."""
        return " + ".join(dict.fromkeys(site.where for site in self.sites))

    @property
    def stops(self) -> float:
        """Share of its weight that its last row has, with which no water comes; 0 of a pair."""
        return self.faults[0].stops if len(self.faults) == 1 else 0.0

    @cached_property
    def parts(self) -> frozenset[tuple[str, str]]:
        """Its faults, each by name and place."""
        pairs = zip(self.faults, self.sites, strict=True)
        return frozenset((fault.name, site.where) for fault, site in pairs)

    @cached_property
    def behind(self) -> frozenset[tuple[str, str]]:
        """The part of a pair that the other hides, by name and place; empty where none does."""
        if self.hiding is None or len(self.faults) == 1:
            return frozenset()
        return frozenset({(self.faults[1].name, self.sites[1].where)})

    @cached_property
    def hides(self) -> bool:
        """Whether no water comes while it is there, and all that is behind it is hidden."""
        return len(self.faults) == 1 and self.hiding is not None

    @cached_property
    def veils(self) -> bool:
        """Whether what else is wrong shows once it is put right: no water comes, or a unit stands
        that has tripped for a reason."""
        return any(fault.name in HIDING for fault in self.faults)

    @cached_property
    def hiding(self) -> Fault | None:
        """The fault with which no water comes, so that nobody sees another; None without one."""
        pairs = zip(self.faults, self.sites, strict=True)
        return next((fault for fault, site in pairs if fault.family == "dead" or site.still), None)

    def changes(
        self, network: Network, severities: Array, under_way: bool = False
    ) -> list[ModelChange]:
        """The change of the model at each row of severities; one fault's own is asked once."""
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
    """The changes at every row of severities of these instances, one after the other."""
    return [*chain(*(one.changes(network, one.severities, under_way) for one in some))]


def instances(network: Network, units: int, prior: Mapping[str, float]) -> tuple[Instance, ...]:
    """Every fault, at every place where this loop can have it, and the likeliest pairs.

    Parameters
    ----------
    network : Network
    units : int
        How many condensers are looked at.
    prior : mapping
        Weight of a fault by its name (a pair's is ``"one + other"``), instead of the default. A
        fault that can sit in several places shares its weight among them.

    Raises
    ------
    JobError
        A name in `prior` that is no fault.
    """
    unknown = [name for name in prior if not set(name.split(" + ")) <= set(BY_NAME)]
    if unknown:
        raise JobError(
            [
                SAY("wrong-prior-fault", fault=repr(name), known=", ".join(BY_NAME))
                for name in unknown
            ]
        )
    dc = network.pump.curve.drive == "dc"
    grid = GRID if units <= _MANY_UNITS else _COARSE_GRID
    found: list[Instance] = []
    for fault in FAULTS:
        at = list(fault.sites(network, units))
        usual = fault.on_dc if dc and fault.on_dc is not None else fault.prior
        shares = [_STANDS if site.still else 1.0 for site in at]
        # A pump that stands with the fault is one more way in which it shows, and adds to it.
        usual *= sum(shares) / max(shares.count(1.0), 1) if at else 1.0
        weight = prior.get(fault.name, usual) / max(sum(shares), 1.0)
        if fault.name == "healthy":  # all else is measured against it, so it always has a place
            weight = max(weight, _LEAST)
        severities = NUMBERS if fault.name == UNKNOWN else fault.grid(grid)
        found += [
            Instance((fault,), (site,), severities[:, None], share * weight)
            for site, share in zip(at, shares, strict=True)
        ]
    found = [one for one in found if one.prior > 0]
    cells = _PAIR_CELLS if grid == GRID else _COARSE_CELLS
    alone, behind = _behind(found, units, cells, prior)
    return (*alone, *_pairs(found, cells, prior), *behind)


def _able(single: list[Instance]) -> list[Instance]:
    """Those that stand beside any other, or behind what hides them."""
    return [one for one in single if one.faults[0].family not in _ALONE and not one.veils]


def _pairs(
    single: list[Instance], cells: tuple[int, ...], prior: Mapping[str, float]
) -> list[Instance]:
    """Two faults at once: those of most weight, which together weigh as calls with two do."""
    able = _able(single)
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
        share = _given(prior, name, TWO_FAULTS * whole * weight / total)
        found.append(_both(first, second, cells, share))
    return [one for one in found if one.prior > 0]


def _behind(
    single: list[Instance], units: int, cells: tuple[int, ...], prior: Mapping[str, float]
) -> tuple[list[Instance], list[Instance]]:
    """What hides others, alone and with the commonest of them behind it: instances and pairs.

    Both together weigh what the one weighed by itself: which of them it is nothing shows until
    the water is back. How bad what is behind it is shows no sooner: a pair is one row, but where
    the water runs on.
    """
    others = _able(single)
    alone, pairs = [], []
    for one in single:
        fault = one.faults[0]
        unit = one.sites[0].unit
        # What ails one unit alone stands behind its own trip, as often as on a boat with but one.
        likely = [
            (other.prior * (units if other.sites[0].unit == unit >= 0 else 1), other)
            for other in others
            if unit < 0 or other.sites[0].unit in (-1, unit)
        ]
        likely.sort(key=lambda item: -item[0])
        hidden = likely[:_MOST_BEHIND] if one.veils else []
        whole = sum(weight for weight, _ in hidden)
        share = (TWO_FAULTS if fault.family == "dead" else _BEHIND_A_TRIP) if hidden else 0.0
        alone.append(replace(one, prior=(1.0 - share) * one.prior))
        for weight, other in hidden:
            weight = share * one.prior * weight / whole
            weight = _given(prior, (fault.name, other.faults[0].name), weight)
            pairs.append(_both(one, other, () if one.hides else cells, weight))
    return alone, [one for one in pairs if one.prior > 0]


def _given(prior: Mapping[str, float], name: tuple[str, str], usual: float) -> float:
    """The weight of a pair that was given, by either order of its names, or the usual one."""
    return prior.get(pair_name(name), prior.get(pair_name((name[1], name[0])), usual))


def _both(one: Instance, other: Instance, cells: tuple[int, ...], prior: float) -> Instance:
    """Two faults at once, at each of these cells of either's severities; of none at its middle."""
    axes = [
        part.severities[list(cells), 0]
        if cells and len(part.severities) > 1
        else part.severities[[len(part.severities) // 2], 0]
        for part in (one, other)
    ]
    rows = np.array(list(product(*axes)))
    return Instance(one.faults + other.faults, one.sites + other.sites, rows, prior)


def cells(instance: Instance) -> list[tuple[IntArray, IntArray, Array]]:
    """How the grid of severities hangs together, for each fault of the instance.

    Returns, an entry a fault, for each row of severities: the row of the next cell below on that
    fault's axis, the row of the next above (itself at an end), and one over the cells between
    them. An axis of one cell is left out, and a last row that stops all water: neither has spread.
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
