"""A job at its operating point: its air paths, pump and units, and the places of its parts."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

from loop.air.air_paths import AirPath, air_paths
from loop.balancing.isolation import (
    shut_on_path,
    shut_parts,
)
from loop.check.operating_results import condenser_results, pump_result
from loop.check.result import CondenserResult, PumpResult
from loop.check.running_units import running_units, shortest_first
from loop.check.strainer_fouling import SHARES, flows_when_blocked, shares_at_need
from loop.curve import Array
from loop.hydraulics import Network, OperatingPoint
from loop.hydraulics.leg_report import LegState
from loop.job import Boat, Job, locate
from loop.job.attitude import without_waves
from loop.parts import Strainer
from loop.records import dataclass
from loop.words import Place

_HALF = 25  # index of one half in SHARES


@dataclass(frozen=True)
class LoopState:
    """A job with what follows from its operating point as it stands.

    ``at_rest`` is the same without the boat's speed, None where speed makes no difference.
    Expensive properties are calculated on first use: many trials end earlier.
    """

    job: Job
    point: OperatingPoint
    at_rest: "LoopState | None"

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
    def running_units(self) -> tuple[CondenserResult, ...]:
        """The units not cut off by a shut valve, and any that get water some other way."""
        return running_units(self.network, self.condensers)

    @property
    def shortest_unit(self) -> int:
        """Index of the running unit with the least flow over need at its low edge."""
        return self.condensers.index(shortest_first(self.network, self.condensers)[0])

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

    @property
    def pump_address(self) -> str:
        """Address of the pump."""
        return self.addresses[self.network.pump_index]

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
