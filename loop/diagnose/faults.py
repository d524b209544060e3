"""The faults: each a change of the model, with its severities, its prior and where it can sit."""

from collections.abc import Callable, Iterator, Mapping

import numpy as np

from loop.curve import Array
from loop.diagnose import fault_effects as changes
from loop.diagnose.fault_effects import Change, IntArray, Site
from loop.hydraulics import Network
from loop.job import JobError
from loop.parts import Discharge, Hose, Intake, Manifold, Pump, Seacock, Strainer
from loop.records import dataclass

GRID = 14
_PAIR_GRID = 5
_LEAST = 1e-9


@dataclass(frozen=True)
class Fault:
    """One kind of fault.

    ``low`` and ``high`` bound its severity, all values between being taken as equally likely; a
    smaller one shows nothing. ``prior`` is its weight among service calls for low flow or high
    pressure: common practice, no source, to be set by whoever knows better.
    """

    name: str
    prior: float
    low: float
    high: float
    change: Callable[[Network, Site, float], Change]
    sites: Callable[[Network, int], Iterator[Site]]

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

    @property
    def name(self) -> str:
        """Name, such as ``strainer-blocked`` or ``strainer-blocked + condenser-scaled``."""
        return " + ".join(fault.name for fault in self.faults)

    @property
    def where(self) -> str:
        """Where it is, in words."""
        return " + ".join(dict.fromkeys(site.where for site in self.sites))

    def change(self, network: Network, severity: Array) -> Change:
        """The change of the model at one row of severities."""
        whole = Change()
        for fault, site, value in zip(self.faults, self.sites, severity, strict=True):
            whole = whole & fault.change(network, site, float(value))
        return whole


def _whole(where: str) -> Callable[[Network, int], Iterator[Site]]:
    def sites(network: Network, units: int) -> Iterator[Site]:
        yield Site(where)

    return sites


def _suction(kind: type) -> Callable[[Network, int], Iterator[Site]]:
    """The first part of a kind before the pump; of hoses the longest."""

    def sites(network: Network, units: int) -> Iterator[Site]:
        before = [i for i in range(network.pump_index) if isinstance(network.parts[i], kind)]
        if before:
            index = max(before, key=lambda i: getattr(network.parts[i], "length", 0.0))
            yield Site(network.labels[index], index)

    return sites


def _pump(network: Network, units: int) -> Iterator[Site]:
    yield Site(network.labels[network.pump_index], network.pump_index)


def _pressure_hose(network: Network, units: int) -> Iterator[Site]:
    """The longest hose after the pump on its own line; on any line where that one has none."""
    hoses = [
        i
        for i in range(network.pump_index + 1, len(network.parts))
        if isinstance(network.parts[i], Hose)
    ]
    main = [i for i in hoses if network.line_of[i] == network.pump_line]
    if main or hoses:
        index = max(main or hoses, key=lambda i: getattr(network.parts[i], "length", 0.0))
        yield Site(network.labels[index], index)


def _condensers(network: Network, units: int) -> Iterator[Site]:
    for number, unit in enumerate(network.job.condenser[:units]):
        part = network.condenser_part(unit.name)
        label = network.labels[part]
        one = len(network.job.condenser) == 1
        yield Site(label if one else f"condenser {unit.name}", part, number)


def _discharges(network: Network, units: int) -> Iterator[Site]:
    ends = [i for i, part in enumerate(network.parts) if isinstance(part, Discharge)]
    for index in ends[:units]:
        branch = network.branches[index]
        yield Site(f"discharge of {branch}" if branch else network.labels[index], index)


def _branches(network: Network, units: int) -> Iterator[Site]:
    for number, unit in enumerate(network.job.condenser[:units]):
        part = network.condenser_part(unit.name)
        line = network.lines[network.line_of[part]]
        if line.branch:
            first = next(i for i in line.parts if not isinstance(network.parts[i], Manifold | Pump))
            yield Site(f"branch {line.branch}", first, number)


# name, prior, least and greatest severity, change, places
FAULTS: tuple[Fault, ...] = (
    Fault("intake-fouled", 0.10, 0.4, 0.97, changes.covered, _suction(Intake)),
    Fault("seacock-partly-shut", 0.05, 0.3, 0.85, changes.turned, _suction(Seacock)),
    Fault("strainer-blocked", 0.20, 0.4, 0.97, changes.basket_blocked, _suction(Strainer)),
    Fault("suction-hose-collapsed", 0.03, 0.2, 0.7, changes.narrowed, _suction(Hose)),
    Fault("suction-air-leak", 0.06, 0.15, 0.8, changes.air_leak, _whole("suction side")),
    Fault("pump-air-bound", 0.07, 1.0, 1.0, changes.air_bound, _pump),
    Fault("pump-worn", 0.08, 0.1, 0.5, changes.worn, _pump),
    Fault("pump-decoupled", 0.03, 1.0, 1.0, changes.decoupled, _pump),
    Fault("supply-low", 0.05, 0.08, 0.4, changes.low_supply, _whole("pump supply")),
    Fault("pressure-hose-kinked", 0.04, 0.2, 0.7, changes.narrowed, _pressure_hose),
    Fault("condenser-scaled", 0.08, 0.02, 0.15, changes.scaled, _condensers),
    Fault("condenser-film", 0.05, 0.3, 2.0, changes.filmed, _condensers),
    Fault("discharge-blocked", 0.03, 0.4, 0.97, changes.covered, _discharges),
    Fault("branch-valve-shut", 0.04, 0.4, 0.95, changes.turned, _branches),
    Fault("sea-warm", 0.03, 1.0, 8.0, changes.warm_sea, _whole("sea")),
    Fault("not-water-side", 0.06, 2.0, 12.0, changes.hot_condenser, _condensers),
    Fault("healthy", 0.06, 0.0, 0.0, changes.nothing, _whole("loop")),
)

# The likeliest pairs, each at this weight (common practice, no source).
PAIRS: tuple[tuple[str, str], ...] = (
    ("strainer-blocked", "condenser-scaled"),
    ("strainer-blocked", "intake-fouled"),
    ("strainer-blocked", "pump-worn"),
    ("condenser-scaled", "pump-worn"),
)
PAIR_PRIOR = 0.012

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
        A name in `prior` that is no fault, or weights that leave nothing.
    """
    names = [*BY_NAME, *map(pair_name, PAIRS)]
    unknown = [name for name in prior if name not in names]
    if unknown:
        raise JobError([f"prior: no fault {name!r}; known: {', '.join(names)}" for name in unknown])
    found: list[Instance] = []
    at: dict[str, list[Site]] = {}
    for fault in FAULTS:
        at[fault.name] = list(fault.sites(network, units))
        weight = prior.get(fault.name, fault.prior) / max(len(at[fault.name]), 1)
        if fault.name == "healthy":  # all else is measured against it, so it always has a place
            weight = max(weight, _LEAST)
        found += [
            Instance((fault,), (site,), fault.grid(GRID)[:, None], weight)
            for site in at[fault.name]
        ]
    for pair in PAIRS:
        sites = [at[name][0] for name in pair if at[name]]
        if len(sites) == 2:
            both = tuple(BY_NAME[name] for name in pair)
            mesh = np.meshgrid(*(fault.grid(_PAIR_GRID) for fault in both), indexing="ij")
            grid = np.stack([axis.ravel() for axis in mesh], axis=1)
            weight = prior.get(pair_name(pair), PAIR_PRIOR)
            found.append(Instance(both, tuple(sites), grid, weight))
    if not any(one.prior > 0 for one in found):
        raise JobError(["prior: every fault that this loop can have has weight 0"])
    return tuple(one for one in found if one.prior > 0)


def cells(instance: Instance) -> list[tuple[IntArray, IntArray, Array]]:
    """How the grid of severities hangs together, for each fault of the instance.

    Returns, an entry a fault, for each row of severities: the row of the next cell below on that
    fault's axis, the row of the next above (itself at an end), and one over the cells between
    them. An axis of one cell is left out: its severity has no spread.
    """
    grid = instance.severities
    shape = tuple(len(np.unique(grid[:, axis])) for axis in range(grid.shape[1]))
    index = np.arange(len(grid)).reshape(shape)
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
