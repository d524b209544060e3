"""The faults: each a change of the model, with its severities, its prior and where it can sit."""

from collections.abc import Callable

import numpy as np

from loop.curve import Array
from loop.diagnose import fault_effects as changes
from loop.diagnose import sites
from loop.diagnose.fault_effects import Change, Site
from loop.diagnose.something_else import disturbed
from loop.hydraulics import Network
from loop.records import dataclass

UNKNOWN = "something-else"


@dataclass(frozen=True)
class Fault:
    """One kind of fault.

    ``low`` and ``high`` bound its severity, all values between being taken as equally likely; a
    smaller one shows nothing. ``prior`` is its weight among service calls for low flow or high
    pressure: common practice, no source, to be set by whoever knows better. Of one ``family`` a
    call has one fault at most. ``on_dc`` is its weight where the pump runs on a battery, and
    ``under_way`` its change at speed, where these differ. ``stops`` is the share of these calls in
    which it is as bad as can be and lets nothing through, such as a bag over a whole grate
    (engineering estimate).
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
    stops: float = 0.0

    def grid(self, count: int) -> Array:
        """Severities at the middles of `count` equal cells from low to high.

        And the worst itself where that stops all water.
        """
        if self.high <= self.low:
            return np.array([self.low])
        grid = self.low + (self.high - self.low) * (np.arange(count) + 0.5) / count
        return np.append(grid, self.high) if self.stops else grid


# name, prior, least and greatest severity, change, places, family
FAULTS: tuple[Fault, ...] = (
    Fault("intake-fouled", 0.09, 0.4, 1.0, changes.covered, sites.INTAKE, stops=0.1),
    Fault("seacock-partly-shut", 0.05, 0.3, 1.0, changes.turned, sites.SEACOCK),
    Fault("strainer-blocked", 0.18, 0.4, 1.0, changes.basket_blocked, sites.STRAINER, stops=0.1),
    Fault("suction-hose-collapsed", 0.03, 0.2, 0.7, changes.narrowed, sites.SUCTION_HOSE),
    Fault("suction-blocked-inside", 0.01, 0.3, 0.95, changes.blocked, sites.SUCTION_HOSE),
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
    Fault(
        "no-power-under-way",
        0.003,
        1.0,
        1.0,
        changes.nothing,
        sites.pump,
        "none",
        under_way=changes.unpowered,
    ),
    Fault("high-point-air", 0.02, 0.4, 1.0, changes.held_air, sites.high_points),
    Fault("siphon-lost", 0.015, 0.5, 1.0, changes.held_air, sites.siphons),
    Fault("branch-air", 0.06, 0.5, 1.0, changes.air_locked, sites.branches, "branch"),
    Fault("check-valve-stuck", 0.03, 0.3, 1.0, changes.blocked, sites.check_valves),
    Fault("no-power", 0.03, 1.0, 1.0, changes.unpowered, sites.pump, "dead"),
    Fault("pump-jammed", 0.02, 1.0, 3.0, changes.jammed, sites.pump, "dead"),
    Fault("motor-no-start", 0.009, 1.0, 3.0, changes.jammed, sites.pump_on_ac, "dead"),
    Fault("motor-dead", 0.02, 1.0, 1.0, changes.dead_motor, sites.pump, "dead"),
    Fault("motor-weak", 0.02, 0.1, 0.5, changes.weak_motor, sites.pump, "pump"),
    Fault("pump-worn", 0.07, 0.1, 0.5, changes.worn, sites.pump, "pump"),
    Fault("wrong-pump", 0.01, 0.25, 0.65, changes.wrong_pump, sites.pump, "pump"),
    Fault("pump-decoupled", 0.025, 1.0, 1.0, changes.decoupled, sites.pump, "dead"),
    Fault(
        "supply-low", 0.02, 0.08, 0.4, changes.low_supply, sites.whole("pump supply"), on_dc=0.08
    ),  # long thin wires, corroded terminals, a battery that is low, a dock in the evening
    Fault("generator-slow", 0.02, 0.08, 0.4, changes.slow_generator, sites.generator),
    Fault("pressure-hose-kinked", 0.03, 0.2, 0.7, changes.narrowed, sites.pressure_hose),
    Fault("condenser-scaled", 0.07, 0.02, 0.15, changes.scaled, sites.condensers),
    Fault("condenser-film", 0.05, 0.3, 2.0, changes.filmed, sites.condensers),
    Fault("condenser-header-blocked", 0.03, 0.3, 0.9, changes.header_blocked, sites.condensers),
    Fault("discharge-blocked", 0.025, 0.4, 1.0, changes.covered, sites.discharges),
    Fault("branch-valve-shut", 0.04, 0.4, 1.0, changes.turned, sites.branch_valves, "branch"),
    Fault(
        "branches-unbalanced",
        0.03,
        0.15,
        1.5,
        changes.unbalanced,
        sites.shared_branches,
        "branch",
    ),
    Fault("branch-blocked", 0.04, 0.3, 0.95, changes.blocked, sites.branches, "branch"),
    Fault("sea-warm", 0.03, 1.0, 8.0, changes.warm_sea, sites.whole("sea")),
    Fault("unit-off", 0.04, 0.0, 0.0, changes.unit_off, sites.units_and_pump, "unit"),
    Fault("not-water-side", 0.06, 2.0, 12.0, changes.hot_condenser, sites.condensers, "unit"),
    Fault("refrigerant-low", 0.03, 0.05, 0.5, changes.weak_unit, sites.condensers, "unit"),
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
# Share of calls with two faults (engineering estimate).
TWO_FAULTS = 0.15

# With which no water comes, or no unit runs: what is behind one shows once it is put right.
HIDING = ("unit-off", *(fault.name for fault in FAULTS if fault.family == "dead"))

BY_NAME: dict[str, Fault] = {fault.name: fault for fault in FAULTS}


def pair_name(pair: tuple[str, str]) -> str:
    """How a pair is called: ``strainer-blocked + condenser-scaled``."""
    return " + ".join(pair)
