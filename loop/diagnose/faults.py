"""The faults: each a change of the model, with its severities, its prior and where it can sit."""

from collections.abc import Callable

import numpy as np

from loop.curve import Array
from loop.diagnose import fault_effects as effects
from loop.diagnose import sites
from loop.diagnose.model_change import ModelChange, Site
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
    change: Callable[[Network, Site, float], ModelChange]
    sites: sites.Sites
    family: str = ""
    on_dc: float | None = None
    under_way: Callable[[Network, Site, float], ModelChange] | None = None
    stops: float = 0.0

    def grid(self, count: int) -> Array:
        """Severities at the middles of `count` equal cells from low to high.

        And the worst itself where that stops all water.
        """
        if self.high <= self.low:
            return np.array([self.low])
        grid = self.low + (self.high - self.low) * (np.arange(count) + 0.5) / count
        return np.append(grid, self.high) if self.stops else grid


# Name, prior, least and greatest severity, effect, places, family. Numbers in the rows' own effects
# are engineering estimates.
FAULTS: tuple[Fault, ...] = (
    Fault("intake-fouled", 0.09, 0.4, 1.0, effects.covered, sites.INTAKE, stops=0.1),
    Fault("seacock-partly-shut", 0.05, 0.3, 1.0, effects.turned, sites.SEACOCK),
    Fault("strainer-blocked", 0.18, 0.4, 1.0, effects.basket_blocked, sites.STRAINER, stops=0.1),
    Fault("suction-hose-collapsed", 0.03, 0.2, 0.7, effects.narrowed, sites.SUCTION_HOSE),
    Fault("suction-blocked-inside", 0.01, 0.3, 0.95, effects.blocked, sites.SUCTION_HOSE),
    Fault("suction-air-leak", 0.07, 0.1, 0.98, effects.air_drawn, sites.air_entries, "air"),
    # Full of air: no head to speak of, the motor half unloaded.
    Fault("pump-air-bound", 0.06, 1.0, 1.0,
          lambda net, at, share: effects.air_drawn(net, at, 1.0), sites.pump, "dead"),
    # A pump that swallows much of it loses its prime, and keeps none for as long as it runs.
    Fault("intake-air", 0.015, 0.2, 1.0, effects.nothing, sites.INTAKE, "none",
          under_way=effects.air_drawn, stops=0.3),
    Fault("no-power-under-way", 0.003, 1.0, 1.0, effects.nothing, sites.pump, "none",
          under_way=effects.unpowered),
    Fault("high-point-air", 0.02, 0.4, 1.0, effects.held_air, sites.high_points),
    Fault("siphon-lost", 0.015, 0.5, 1.0, effects.held_air, sites.siphons),
    # The branch's water is throttled, at 1 stopped.
    Fault("branch-air", 0.06, 0.5, 1.0,
          lambda net, at, share: effects.blocked(net, at, share) & ModelChange(air=0.1),
          sites.branches, "branch"),
    Fault("check-valve-stuck", 0.03, 0.3, 1.0, effects.blocked, sites.check_valves),
    Fault("no-power", 0.03, 1.0, 1.0, effects.unpowered, sites.pump, "dead"),
    Fault("pump-jammed", 0.02, 1.0, 3.0, effects.jammed, sites.pump, "dead"),
    Fault("motor-no-start", 0.009, 1.0, 3.0, effects.jammed, sites.pump_on_ac, "dead"),
    Fault("motor-dead", 0.02, 1.0, 1.0, effects.dead_motor, sites.pump, "dead"),
    # Slower on a good supply (capacitor, brushes, bearing): it draws more than its load explains,
    # by about as much again.
    Fault("motor-weak", 0.02, 0.1, 0.5,
          lambda net, at, share: ModelChange(
              speed=1 - share, drive=(1 - share) ** -3, current=1 + share
          ), sites.pump, "pump"),
    # Head and flow both down, power as before.
    Fault("pump-worn", 0.07, 0.1, 0.5,
          lambda net, at, share: ModelChange(pump_head=1 - share, pump_flow=1 - share),
          sites.pump, "pump"),
    # A centrifugal pump that turns backwards still pumps, some half of its head (common practice);
    # its power does not fall with it.
    Fault("wrong-pump", 0.01, 0.25, 0.65,
          lambda net, at, share: ModelChange(pump_head=1 - share, pump_flow=1 - 0.7 * share),
          sites.pump, "pump"),
    Fault("pump-decoupled", 0.025, 1.0, 1.0, effects.decoupled, sites.pump, "dead"),
    # Long thin wires, corroded terminals, a battery that is low, a dock in the evening.
    Fault("supply-low", 0.02, 0.08, 0.4, effects.low_supply, sites.whole("pump supply"),
          on_dc=0.08),
    # Its frequency and its volts are low by as much as it turns slower.
    Fault("generator-slow", 0.02, 0.08, 0.4,
          lambda net, at, share: ModelChange(
              speed=1 - share, supply=1 - share, frequency=1 - share
          ), sites.generator),
    Fault("pressure-hose-kinked", 0.03, 0.2, 0.7, effects.narrowed, sites.pressure_hose),
    Fault("condenser-scaled", 0.07, 0.02, 0.15, effects.scaled, sites.condensers),
    # Slime on the tube: heat only, a share of the clean condenser's resistance.
    Fault("condenser-film", 0.05, 0.3, 2.0,
          lambda net, at, share: ModelChange(fouling={at.unit: share}), sites.condensers),
    # Zinc crumbs or weed over a share of the tubes, which cool nothing: resistance as the inverse
    # of what is left.
    Fault("condenser-header-blocked", 0.03, 0.3, 0.9,
          lambda net, at, share: effects.covered(net, at, share)
          & ModelChange(fouling={at.unit: 0.5 * share / (1.0 - share)}), sites.condensers),
    Fault("discharge-blocked", 0.025, 0.4, 1.0, effects.covered, sites.discharges),
    Fault("branch-valve-shut", 0.04, 0.4, 1.0, effects.turned, sites.branch_valves, "branch"),
    Fault("branches-unbalanced", 0.03, 0.15, 1.5, effects.unbalanced, sites.shared_branches,
          "branch"),
    Fault("branch-blocked", 0.04, 0.3, 0.95, effects.blocked, sites.branches, "branch"),
    # Kelvin, over the job's sea.
    Fault("sea-warm", 0.03, 1.0, 8.0,
          lambda net, at, kelvin: ModelChange(sea=kelvin), sites.whole("sea")),
    Fault("unit-off", 0.04, 0.0, 0.0, effects.unit_off, sites.units_and_pump, "unit"),
    # Of the refrigerant side: condensing hotter by so many kelvin though the water is right.
    Fault("not-water-side", 0.06, 2.0, 12.0,
          lambda net, at, kelvin: ModelChange(condensing={at.unit: kelvin}),
          sites.condensers, "unit"),
    # Too little charge, or air: the unit cools, and warms the water, less.
    Fault("refrigerant-low", 0.03, 0.05, 0.5,
          lambda net, at, share: ModelChange(rejected={at.unit: 1.0 - share}),
          sites.condensers, "unit"),
    Fault("healthy", 0.05, 0.0, 0.0, effects.nothing, sites.whole("loop"), "none"),
    Fault(UNKNOWN, 0.04, 0.0, 0.0, disturbed, sites.whole("unknown"), "none"),
)  # fmt: skip

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
