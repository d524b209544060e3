"""The context of a finding: one job, its operating point, and what follows from both."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property

from loop.air.air_paths import AirPath, air_paths
from loop.balancing.balance import MAX_SURPLUS, TABLE_MARGIN, Balance, balance, balanced_at_share
from loop.balancing.flow_limiting import FlowLimit, LimitedFlows, limit_flows
from loop.balancing.isolation import (
    OpenUnit,
    bypasses,
    open_units,
    shut_on_path,
    shut_parts,
    valve_sites,
)
from loop.check.operating_results import condenser_results, pump_result
from loop.check.result import CondenserResult, PumpResult
from loop.check.running_units import running_units, shortest_first
from loop.check.strainer_fouling import SHARES, flows_when_blocked, shares_at_need
from loop.check.work import LEAST_GAIN
from loop.curve import Array
from loop.hydraulics import Network, OperatingPoint, flow_band
from loop.hydraulics.leg_report import LegState
from loop.job import Boat, Job, locate
from loop.job.attitude import without_waves
from loop.parts import Strainer
from loop.records import dataclass
from loop.words import Action, Place

# Common practice runs from 150 to 250 gal/h a ton: where 180 is needed, above 250 is excess.
EXCESS = 250 / 180
# Units whose flow over need differs by less than this factor count as balanced: engineering
# estimate.
_BALANCED = 1.15
# Flow over need that leaves the need at the low edge of a typical band: engineering estimate, used
# where no running unit shows the width of its own.
_TYPICAL_MARGIN = 1.15
_HALF = 25  # index of one half in SHARES


@dataclass(frozen=True)
class Context:
    """A job with everything calculated about it, before it is judged.

    ``at_rest`` is the context without the boat's speed, None where speed makes no difference.
    Expensive properties are calculated on first use: many trials end earlier.
    """

    job: Job
    point: OperatingPoint
    at_rest: "Context | None"

    def legs_on(self, path: Sequence[int]) -> list[LegState]:
        """The falling legs on a path, given by the numbers of its parts."""
        places = {self.network.places[index] for index in path}
        return [leg for leg in self.point.legs if {leg.from_part, leg.to_part} <= places]

    @cached_property
    def air_paths(self) -> tuple[AirPath, ...]:
        """The paths that water fills, with their high points."""
        return air_paths(self.network, self.point)

    @cached_property
    def pump(self) -> PumpResult:
        """The pump at its operating point."""
        return pump_result(self.point, self.air_paths)

    @cached_property
    def condensers(self) -> tuple[CondenserResult, ...]:
        """The units with their bands; effects of a blocked strainer are in `condensers_fouled`."""
        return condenser_results(self.job, self.point)

    @property
    def network(self) -> Network:
        """The job's lines and joints."""
        return self.point.network

    @property
    def settled(self) -> bool:
        """Whether the flows converged; if not, nothing more is asked of this network."""
        return self.point.settled and (self.at_rest is None or self.at_rest.point.settled)

    @property
    def has_flow(self) -> bool:
        """Whether any water flows at all."""
        return self.point.flow > 0

    @property
    def design_flow(self) -> float:
        """Design flow for a pump [m³/s]: the larger of the present flow and the sum of needs."""
        return max(self.point.flow, sum(unit.needed_flow for unit in self.job.condenser))

    @property
    def any_short(self) -> bool:
        """Whether any condenser gets less than it needs."""
        return any(c.flow < c.needed_flow for c in self.condensers)

    @property
    def any_marginal(self) -> bool:
        """Whether any condenser gets less than it needs at the low end of the band."""
        return any(c.flow_low < c.needed_flow for c in self.condensers)

    @cached_property
    def cure_cache(self) -> dict[tuple[Action, ...], bool]:
        """Cache: whether every running unit gets its need with these actions done."""
        return {}

    @cached_property
    def shared_fixes(self) -> dict[str, Iterator[Action]]:
        """Cache of fixes that several findings share, by purpose; each a `tee`.

        Callers iterate over a copy, so that the search runs once.
        """
        return {}

    @cached_property
    def running_units(self) -> tuple[CondenserResult, ...]:
        """The units not cut off by a shut valve, and any that get water some other way."""
        return running_units(self.network, self.condensers)

    @property
    def shortest_unit(self) -> int:
        """Index of the running unit with the least flow over need at its low edge."""
        return self.condensers.index(shortest_first(self.network, self.condensers)[0])

    @cached_property
    def branch_balance(self) -> Balance | None:
        """The balance of the branches; None without branches, without flow, or if not converged."""
        asked = self.network.forks and self.has_flow and self.settled
        return balance(self.network) if asked else None

    @property
    def flow_margin(self) -> float:
        """Flow over need that leaves the need at the low edge of a band as wide as the present one.

        The band of a unit far short of its need says nothing about that of a loop that meets it.
        """
        wide = (
            c.flow / max(c.flow_low, 1e-12)
            for c in self.running_units
            if c.flow > c.needed_flow / 2
        )
        return min(max(wide, default=_TYPICAL_MARGIN), MAX_SURPLUS)

    @cached_property
    def throttled_units(self) -> list[OpenUnit]:
        """For each branch that can be throttled by itself, the unit with the largest need."""
        return valve_sites(self.network, open_units(self.network))

    @cached_property
    def flow_shares(self) -> dict[str, float]:
        """Flow over need in each branch, for the unit with the largest need; also of a series loop.

        Omits units whose flow is shared with others, and units cut off by a shut valve.
        """
        flows = {c.name: c.flow for c in self.condensers}
        return {name: flows[name] / need for name, _, need in self.throttled_units}

    @property
    def uneven(self) -> bool:
        """Whether flow over need differs significantly between branches."""
        shares = self.flow_shares.values()
        return bool(shares) and max(shares) > _BALANCED * min(shares)

    @cached_property
    def useful_balance(self) -> Balance | None:
        """The balance, where setting valves is the right action; otherwise None.

        It must give every unit its need and throttle no unit that misses its need at the low edge.
        Where one misses it, the balance must cure a unit that is short, or raise the least share by
        `LEAST_GAIN`, or give every unit its need at the low edge. Where none does, it must even out
        uneven shares, raise the least by `LEAST_GAIN`, and leave no unit with excess flow.
        """
        even, shares = self.branch_balance, self.flow_shares.values()
        if even is None or even.share < 1 or not even.throttles or not shares:
            return None
        wanting = {c.name for c in self.running_units if c.flow_low < c.needed_flow}
        if any(valve.unit in wanting and not valve.opens for valve in even.throttles):
            return None
        gains = even.share - min(shares) >= LEAST_GAIN
        if not wanting:
            sensible = all(
                self.unit_flow(even.line_flow, c.name) <= EXCESS * c.needed_flow
                for c in self.running_units
            )
            return even if gains and sensible and self.uneven else None
        short = any(c.flow < c.needed_flow for c in self.running_units)
        return even if short or gains or even.enough else None

    @cached_property
    def smaller_duty(self) -> Balance | None:
        """The balanced loop on a pump that would suffice, where every unit has excess flow."""
        if self._shut_parts or not all(c.flow > EXCESS * c.needed_flow for c in self.condensers):
            return None
        return balanced_at_share(self.network, self.flow_margin)

    @cached_property
    def limited_flows(self) -> LimitedFlows | None:
        """The valves with which no unit has excess flow, and none too little."""
        network = self.network
        limits = [
            FlowLimit(network.line_of[i], network.branches[i], EXCESS * c.needed_flow)
            for c in self.running_units
            for i in [network.condenser_part(c.name)]
        ]
        return self.valves_for_limits(limits)

    def valves_for_limits(
        self, limits: list[FlowLimit], shut: Array | None = None
    ) -> LimitedFlows | None:
        """The branch valves that keep to the limits, if no unit falls short because of them."""
        sites = [(name, need, index) for name, index, need in self.throttled_units]
        sites += [("", 0.0, index) for index in bypasses(self.network)]
        if not sites:
            return None
        held = limit_flows(self.network, sites, limits, shut, self.point.line_flow)
        return held if held is not None and not self.starved(held.line_low) else None

    def starved(self, line_low: Array) -> list[str]:
        """The running units that have their need now, and miss it with these low edges [m³/s]."""
        return [
            c.name
            for c in self.running_units
            if c.flow_low >= c.needed_flow
            and self.unit_flow(line_low, c.name) < (1 + TABLE_MARGIN / 2) * c.needed_flow
        ]

    def suffices(self, network: Network, line_flow: Array) -> bool:
        """Whether every running unit gets its need at the low edge, in a loop so changed."""

        if self.least_share(network, line_flow) < 1:
            return False
        low = flow_band(network, line_flow)[0]
        return self.least_share(network, low) >= 1 + TABLE_MARGIN / 2

    def least_share(self, network: Network, line_flow: Array) -> float:
        """Least flow over need of the running units, in a loop so changed; infinite if none run."""
        return min(
            (
                float(line_flow[network.unit_line(c.name)]) / c.needed_flow
                for c in self.running_units
            ),
            default=math.inf,
        )

    def flow_of(self, unit: str) -> float:
        """A unit's flow [m³/s]."""
        return next(c.flow for c in self.condensers if c.name == unit)

    def unit_flow(self, line_flow: Array, unit: str) -> float:
        """A unit's flow [m³/s], from the flows of all lines."""
        return float(line_flow[self.network.unit_line(unit)])

    @cached_property
    def _shut_parts(self) -> list[int]:
        return shut_parts(self.network)

    def shut_parts_before(self, unit: str) -> list[int]:
        """The shut parts on the way to a unit."""
        return shut_on_path(self.network, self._shut_parts, self.network.condenser_part(unit))

    @cached_property
    def addresses(self) -> tuple[str, ...]:
        """Address of each part of the network."""
        return tuple(item.address for item in locate(self.job.part))

    def place(self, index: int, along: float | None = None) -> Place:
        """A part of the network as a finding's place."""
        return Place(part=self.addresses[index], along=along)

    @cached_property
    def condensers_fouled(self) -> tuple[CondenserResult, ...]:
        """The units with their flow as the strainer blocks, where there is one.

        At the boat's speed or at rest, whichever leaves a unit less: it runs in both.
        """
        if self.at_rest is None:
            return self._condensers_fouled
        return tuple(
            one
            if one.flow <= rest.flow
            else replace(one, flow_half_blocked=rest.flow_half_blocked, clean_at=rest.clean_at)
            for one, rest in zip(
                self._condensers_fouled, self.at_rest.condensers_fouled, strict=True
            )
        )

    @cached_property
    def _condensers_fouled(self) -> tuple[CondenserResult, ...]:
        has_strainer = any(isinstance(part, Strainer) for part in self.network.parts)
        if not has_strainer or not self.has_flow or not self.settled:
            return self.condensers
        network, falling = self.network, flows_when_blocked(self.point, SHARES)
        lines = [network.unit_line(unit.name) for unit in self.condensers]
        needs = [(line, c.needed_flow) for line, c in zip(lines, self.condensers, strict=True)]
        shares = shares_at_need(self.point, needs, SHARES, falling)
        return tuple(
            replace(unit, flow_half_blocked=float(falling[_HALF, line]), clean_at=share)
            for unit, line, share in zip(self.condensers, lines, shares, strict=True)
        )

    @property
    def boat_without_waves(self) -> Boat:
        """The boat without waves: water in the line does not feel them."""
        return without_waves(self.job.boat)

    @property
    def manifold_place(self) -> Place:
        """The first manifold as a finding's place."""
        first = self.network.forks[0].manifold if self.network.forks else 0
        return self.place(first)
