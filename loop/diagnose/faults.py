"""The faults: each a change of the model, with its severities, its prior and where it can sit."""

import math
from collections.abc import Callable, Iterable, Mapping
from functools import cache, cached_property
from itertools import chain, combinations, product

import numpy as np

from loop.curve import Array
from loop.diagnose import fault_effects as changes
from loop.diagnose import sites
from loop.diagnose.fault_effects import Change, IntArray, Site
from loop.diagnose.something_else import NUMBERS, disturbed
from loop.hydraulics import Network
from loop.job import JobError
from loop.records import dataclass
from loop.words.diagnosis import SAY

GRID = 14
# Cells of a fault's grid that its pairs take.
_PAIR_CELLS = (2, 7, 12)
# Above so many units each unit's faults have fewer cells, for memory's sake.
_MANY_UNITS, _COARSE_GRID, _COARSE_CELLS = 6, 6, (1, 4)
UNKNOWN = "something-else"
# How often the pump stands with its one unit, over how often it runs on (engineering estimate).
_STANDS = 0.5
_LEAST = 1e-9


@dataclass(frozen=True)
class Fault:
    """One kind of fault.

    ``low`` and ``high`` bound its severity, all values between being taken as equally likely; a
    smaller one shows nothing. ``prior`` is its weight among service calls for low flow or high
    pressure: common practice, no source, to be set by whoever knows better. Of one ``family`` a
    call has one fault at most. ``on_dc`` is its weight where the pump runs on a battery, and
    ``under_way`` its change at speed, where these differ.
    """

    name: str
    prior: float
    low: float
    high: float
    change: Callable[[Network, Site, float], Change]
    sites: sites.Sites
    family: str = ""
    on_dc: float | None = None
    under_way: Callable[[Network, Site, float], Change] | None = None

    def grid(self, count: int) -> Array:
        """Severities at the middles of `count` equal cells from low to high."""
        if self.high <= self.low:
            return np.array([self.low])
        return self.low + (self.high - self.low) * (np.arange(count) + 0.5) / count


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

    @cached_property
    def parts(self) -> frozenset[tuple[str, str]]:
        """Its faults, each by name and place."""
        pairs = zip(self.faults, self.sites, strict=True)
        return frozenset((fault.name, site.where) for fault, site in pairs)

    @cached_property
    def hides(self) -> bool:
        """Whether no water comes while it is there, so that nobody sees what is behind it."""
        pairs = zip(self.faults, self.sites, strict=True)
        return all(fault.family == "dead" or site.still for fault, site in pairs)

    def changes(self, network: Network, severities: Array, under_way: bool = False) -> list[Change]:
        """The change of the model at each row of severities; one fault's own is asked once."""
        single: list[list[Change]] = []
        for fault, site, column in zip(self.faults, self.sites, severities.T.tolist(), strict=True):
            change = (under_way and fault.under_way) or fault.change
            known = {value: change(network, site, value) for value in dict.fromkeys(column)}
            single.append([known[value] for value in column])
        if len(single) == 1:
            return single[0]
        return [one & other for one, other in zip(*single, strict=True)]


def all_changes(
    some: Iterable[Instance], network: Network, under_way: bool = False
) -> list[Change]:
    """The changes at every row of severities of these instances, one after the other."""
    return [*chain(*(one.changes(network, one.severities, under_way) for one in some))]


# name, prior, least and greatest severity, change, places, family
FAULTS: tuple[Fault, ...] = (
    Fault("intake-fouled", 0.09, 0.4, 1.0, changes.covered, sites.INTAKE),
    Fault("seacock-partly-shut", 0.05, 0.3, 1.0, changes.turned, sites.SEACOCK),
    Fault("strainer-blocked", 0.18, 0.4, 1.0, changes.basket_blocked, sites.STRAINER),
    Fault("suction-hose-collapsed", 0.03, 0.2, 0.7, changes.narrowed, sites.SUCTION_HOSE),
    Fault("suction-air-leak", 0.07, 0.1, 0.98, changes.air_drawn, sites.air_entries, "air"),
    Fault("pump-air-bound", 0.06, 1.0, 1.0, changes.air_bound, sites.pump, "dead"),
    Fault(
        "intake-air",
        0.015,
        0.2,
        1.0,
        changes.nothing,
        sites.INTAKE,
        "none",
        under_way=changes.air_drawn,
    ),
    Fault("high-point-air", 0.02, 0.4, 1.0, changes.held_air, sites.high_points),
    Fault("siphon-lost", 0.015, 0.5, 1.0, changes.held_air, sites.siphons),
    Fault("branch-air", 0.06, 0.5, 1.0, changes.air_locked, sites.branches, "branch"),
    Fault("check-valve-stuck", 0.03, 0.3, 1.0, changes.blocked, sites.check_valves),
    Fault("no-power", 0.03, 1.0, 1.0, changes.unpowered, sites.pump, "dead"),
    Fault("pump-jammed", 0.02, 1.0, 3.0, changes.jammed, sites.pump, "dead"),
    Fault("motor-dead", 0.02, 1.0, 1.0, changes.dead_motor, sites.pump, "dead"),
    Fault("motor-weak", 0.02, 0.1, 0.5, changes.weak_motor, sites.pump, "pump"),
    Fault("pump-worn", 0.07, 0.1, 0.5, changes.worn, sites.pump, "pump"),
    Fault("wrong-pump", 0.01, 0.25, 0.65, changes.wrong_pump, sites.pump, "pump"),
    Fault("pump-decoupled", 0.025, 1.0, 1.0, changes.decoupled, sites.pump, "dead"),
    Fault(
        "supply-low", 0.03, 0.08, 0.4, changes.low_supply, sites.whole("pump supply"), on_dc=0.08
    ),  # long thin wires, corroded terminals, a battery that is low
    Fault("pressure-hose-kinked", 0.03, 0.2, 0.7, changes.narrowed, sites.pressure_hose),
    Fault("condenser-scaled", 0.07, 0.02, 0.15, changes.scaled, sites.condensers),
    Fault("condenser-film", 0.05, 0.3, 2.0, changes.filmed, sites.condensers),
    Fault("condenser-header-blocked", 0.03, 0.3, 0.9, changes.header_blocked, sites.condensers),
    Fault("discharge-blocked", 0.025, 0.4, 1.0, changes.covered, sites.discharges),
    Fault("branch-valve-shut", 0.03, 0.4, 1.0, changes.turned, sites.branch_valves, "branch"),
    Fault("branch-blocked", 0.02, 0.3, 0.95, changes.blocked, sites.branches, "branch"),
    Fault("sea-warm", 0.03, 1.0, 8.0, changes.warm_sea, sites.whole("sea")),
    Fault("unit-off", 0.04, 0.0, 0.0, changes.unit_off, sites.units_and_pump, "unit"),
    Fault("not-water-side", 0.06, 2.0, 12.0, changes.hot_condenser, sites.condensers, "unit"),
    Fault("healthy", 0.05, 0.0, 0.0, changes.nothing, sites.whole("loop"), "none"),
    Fault(UNKNOWN, 0.04, 0.0, 0.0, disturbed, sites.whole("unknown"), "none"),
)

# Pairs that come together more often than chance has it: each of these weighs so many times the
# product of its faults' weights (engineering estimate). A drill draws its pairs from these.
PAIRS: tuple[tuple[str, str], ...] = (
    ("strainer-blocked", "condenser-scaled"),
    ("strainer-blocked", "intake-fouled"),
    ("strainer-blocked", "pump-worn"),
    ("condenser-scaled", "pump-worn"),
)
_TOGETHER = 3.0
# Share of calls with two faults, and the most pairs that are looked at: those of least weight are
# left out (engineering estimates).
TWO_FAULTS = 0.15
_MOST_PAIRS = 90
# Families of which a call has one fault or none beside it: no water at all hides whatever else.
_ALONE = ("dead", "none")

BY_NAME: dict[str, Fault] = {fault.name: fault for fault in FAULTS}


def pair_name(pair: tuple[str, str]) -> str:
    """How a pair is called: ``strainer-blocked + condenser-scaled``."""
    return " + ".join(pair)


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
    return (*found, *_pairs(found, grid, prior))


def _pairs(single: list[Instance], grid: int, prior: Mapping[str, float]) -> list[Instance]:
    """Two faults at once: those of most weight, which together weigh as calls with two do."""
    able = [one for one in single if one.faults[0].family not in _ALONE and not one.hides]
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
    cells = _PAIR_CELLS if grid == GRID else _COARSE_CELLS
    found = []
    for weight, name, one, other in kept:
        first, second = (one, other) if one.faults[0].name == name[0] else (other, one)
        pair = (first.faults[0], second.faults[0])
        axes = [
            part.severities[list(cells), 0] if len(part.severities) > 1 else part.severities[:, 0]
            for part in (first, second)
        ]
        rows = np.array(list(product(*axes)))
        given = prior.get(pair_name(name), prior.get(pair_name((name[1], name[0]))))
        share = TWO_FAULTS * whole * weight / total if given is None else given
        found.append(Instance(pair, (first.sites[0], second.sites[0]), rows, share))
    return [one for one in found if one.prior > 0]


def cells(instance: Instance) -> list[tuple[IntArray, IntArray, Array]]:
    """How the grid of severities hangs together, for each fault of the instance.

    Returns, an entry a fault, for each row of severities: the row of the next cell below on that
    fault's axis, the row of the next above (itself at an end), and one over the cells between
    them. An axis of one cell is left out: its severity has no spread.
    """
    grid = instance.severities
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
