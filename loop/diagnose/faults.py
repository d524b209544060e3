"""The faults: each a change of the model, with its severities, its prior and its possible sites."""

from collections.abc import Callable

import numpy as np

from loop.curve import Array
from loop.diagnose import fault_effects as effects
from loop.diagnose import sites
from loop.diagnose.model_change import ModelChange, Site
from loop.diagnose.unlisted_fault import disturbed
from loop.hydraulics import Network
from loop.mistakes import most_like
from loop.records import dataclass
from loop.words.diagnosis import SAY

UNKNOWN = "something-else"


@dataclass(frozen=True)
class Fault:
    """One kind of fault.

    ``low`` and ``high`` bound its severity, whose prior is uniform between them; a smaller one does
    not show. ``prior`` is its weight among service calls for low flow or high pressure: common
    practice, no source, to be replaced by whoever knows better. A call has at most one fault of a
    ``family``. ``on_dc`` is its weight where the pump runs on a battery, and ``under_way`` its
    change at speed, where these differ. ``stops`` is the share of these calls in which it is at its
    worst and lets nothing through, such as a bag over a whole grate (engineering estimate).
    """

    name: str
    prior: float
    low: float
    high: float
    change: Callable[[Network, Site, float], ModelChange]
    sites: sites.Sites
    family: str = ""
    on_dc: float | None = None
    under_way: Callable[[Network, Site, float], ModelChange] | None = None
    stops: float = 0.0

    def grid(self, count: int) -> Array:
        """Severities at the midpoints of `count` equal cells from low to high.

        Followed by the worst itself where that stops all water.
        """
        if self.high <= self.low:
            return np.array([self.low])
        grid = self.low + (self.high - self.low) * (np.arange(count) + 0.5) / count
        return np.append(grid, self.high) if self.stops else grid


# Name, prior, lowest and highest severity, effect, sites, family. Numbers in the rows' own effects
# are engineering estimates.
FAULTS: tuple[Fault, ...] = (
    Fault("intake-fouled", 0.09, 0.4, 1.0, effects.covered, sites.INTAKE, stops=0.1),
    Fault("seacock-partly-shut", 0.05, 0.3, 1.0, effects.turned, sites.SEACOCK),
    Fault("strainer-blocked", 0.18, 0.4, 1.0, effects.basket_blocked, sites.STRAINER, stops=0.1),
    Fault("suction-hose-collapsed", 0.03, 0.2, 0.7, effects.narrowed, sites.SUCTION_HOSE),
    Fault("suction-blocked-inside", 0.01, 0.3, 0.95, effects.blocked, sites.SUCTION_HOSE),
    Fault("suction-air-leak", 0.07, 0.1, 0.98, effects.air_drawn, sites.air_entries, "air"),
    # Full of air: almost no head, the motor half unloaded.
    Fault("pump-air-bound", 0.06, 1.0, 1.0,
          lambda net, at, share: effects.air_drawn(net, at, 1.0), sites.pump, "dead"),
    # A pump that swallows much of it loses its prime, and keeps none for as long as it runs.
    Fault("intake-air", 0.015, 0.2, 1.0, effects.nothing, sites.INTAKE, "none",
          under_way=effects.air_drawn, stops=0.3),
    Fault("no-power-under-way", 0.003, 1.0, 1.0, effects.nothing, sites.pump, "none",
          under_way=effects.unpowered),
    Fault("high-point-air", 0.02, 0.4, 1.0, effects.held_air, sites.high_points),
    Fault("siphon-lost", 0.015, 0.5, 1.0, effects.held_air, sites.siphons),
    # The branch's flow is throttled; stopped at 1.
    Fault("branch-air", 0.06, 0.5, 1.0,
          lambda net, at, share: effects.blocked(net, at, share) & ModelChange(air=0.1),
          sites.branches, "branch"),
    Fault("check-valve-stuck", 0.03, 0.3, 1.0, effects.blocked, sites.check_valves),
    Fault("no-power", 0.03, 1.0, 1.0, effects.unpowered, sites.pump, "dead"),
    Fault("pump-jammed", 0.02, 1.0, 3.0, effects.jammed, sites.pump, "dead"),
    Fault("motor-no-start", 0.009, 1.0, 3.0, effects.jammed, sites.pump_on_ac, "dead"),
    Fault("motor-dead", 0.02, 1.0, 1.0, effects.dead_motor, sites.pump, "dead"),
    # Slower on a good supply (capacitor, brushes, bearing): its current exceeds what its load
    # explains by about the same share.
    Fault("motor-weak", 0.02, 0.1, 0.5,
          lambda net, at, share: ModelChange(
              speed=1 - share, drive=(1 - share) ** -3, current=1 + share
          ), sites.pump, "pump"),
    # Head and flow both down, power as before.
    Fault("pump-worn", 0.07, 0.1, 0.5,
          lambda net, at, share: ModelChange(pump_head=1 - share, pump_flow=1 - share),
          sites.pump, "pump"),
    # A centrifugal pump that turns backward still pumps at about half its head (common practice);
    # its power does not fall in proportion.
    Fault("wrong-pump", 0.01, 0.25, 0.65,
          lambda net, at, share: ModelChange(pump_head=1 - share, pump_flow=1 - 0.7 * share),
          sites.pump, "pump"),
    Fault("pump-decoupled", 0.025, 1.0, 1.0, effects.decoupled, sites.pump, "dead"),
    # Long thin wires, corroded terminals, a low battery, a dock in the evening.
    Fault("supply-low", 0.02, 0.08, 0.4, effects.low_supply, sites.whole("pump supply"),
          on_dc=0.08),
    # Frequency and voltage fall in proportion to its speed.
    Fault("generator-slow", 0.02, 0.08, 0.4,
          lambda net, at, share: ModelChange(
              speed=1 - share, supply=1 - share, frequency=1 - share
          ), sites.ac_supply("generator")),
    # A 50 Hz dock, or a generator whose regulator holds the volts of a slow engine.
    Fault("frequency-low", 0.005, 0.08, 0.25,
          lambda net, at, share: ModelChange(speed=1 - share, frequency=1 - share),
          sites.ac_supply("AC supply")),
    Fault("pressure-hose-kinked", 0.03, 0.2, 0.7, effects.narrowed, sites.pressure_hose),
    Fault("condenser-scaled", 0.07, 0.02, 0.15, effects.scaled, sites.condensers),
    # Slime on the tube: heat only, as a share of the clean condenser's thermal resistance.
    Fault("condenser-film", 0.05, 0.3, 2.0,
          lambda net, at, share: ModelChange(fouling={at.unit: share}), sites.condensers),
    # Zinc crumbs or weed over a share of the tubes, which then cool nothing: thermal resistance as
    # the inverse of what is left.
    Fault("condenser-header-blocked", 0.03, 0.3, 0.9,
          lambda net, at, share: effects.covered(net, at, share)
          & ModelChange(fouling={at.unit: 0.5 * share / (1.0 - share)}), sites.condensers),
    Fault("discharge-blocked", 0.025, 0.4, 1.0, effects.covered, sites.discharges),
    Fault("branch-valve-shut", 0.04, 0.4, 1.0, effects.turned, sites.branch_valves, "branch"),
    Fault("branches-unbalanced", 0.03, 0.15, 1.5, effects.unbalanced, sites.shared_branches,
          "branch"),
    Fault("branch-blocked", 0.04, 0.3, 0.95, effects.blocked, sites.branches, "branch"),
    # Kelvin above the job's sea.
    Fault("sea-warm", 0.03, 1.0, 8.0,
          lambda net, at, kelvin: ModelChange(sea=kelvin), sites.whole("sea")),
    Fault("unit-off", 0.04, 0.0, 0.0, effects.unit_off, sites.units_and_pump, "unit"),
    # Refrigerant side: condensing temperature higher by so many kelvin though the water is right.
    Fault("not-water-side", 0.06, 2.0, 12.0,
          lambda net, at, kelvin: ModelChange(condensing={at.unit: kelvin}),
          sites.condensers, "unit"),
    # Low charge, or low air flow: the unit cools less, and warms the water less.
    Fault("refrigerant-low", 0.03, 0.05, 0.5,
          lambda net, at, share: ModelChange(rejected={at.unit: 1.0 - share}),
          sites.condensers, "unit"),
    Fault("healthy", 0.05, 0.0, 0.0, effects.nothing, sites.whole("loop"), "none"),
    Fault(UNKNOWN, 0.04, 0.0, 0.0, disturbed, sites.whole("unknown"), "none"),
)  # fmt: skip

# Correlated pairs: each weighs several times the product of its faults' weights (engineering
# estimate). Drills draw their pairs from these.
PAIRS: tuple[tuple[str, str], ...] = (
    ("strainer-blocked", "condenser-scaled"),
    ("strainer-blocked", "intake-fouled"),
    ("strainer-blocked", "pump-worn"),
    ("condenser-scaled", "pump-worn"),
)
# Share of calls with two faults (engineering estimate).
TWO_FAULTS = 0.15

# Faults with which no water comes, or no unit runs: a second fault shows only after the fix.
DEAD = tuple(fault.name for fault in FAULTS if fault.family == "dead")
HIDING = ("unit-off", *DEAD)

# Motors that hum and stand: too few volts are a reason, and show on a meter nevertheless.
STALLED = ("pump-jammed", "motor-no-start")

BY_NAME: dict[str, Fault] = {fault.name: fault for fault in FAULTS}


def pair_name(pair: tuple[str, str]) -> str:
    """Name of a pair: ``strainer-blocked + condenser-scaled``."""
    return " + ".join(pair)


def no_fault(text: str) -> str:
    """That there is no such fault, with the nearest name, or where they are listed."""
    near = most_like(text, BY_NAME, 0.3)
    hint = SAY("wrong-meant", near=repr(near)) if near else SAY("wrong-fault-list")
    return SAY("wrong-fault", fault=repr(text[:60]), hint=hint)
