"""Healthy range of each reading around its calculated value.

The readings are taken from the Monte Carlo samples behind the flow band; unit temperatures and
pump power add their own spread. About 95 in 100 loops lie within a range.
"""

import numpy as np

from loop import tolerances
from loop.curve import Array, place, resistance
from loop.hydraulics import Flows, Network, OperatingPoint, installed_pump
from loop.hydraulics.band import band_draws, band_edges
from loop.hydraulics.monte_carlo import draw_columns, sampled_cases
from loop.job import Unit
from loop.margins.heat import Exchanger
from loop.margins.warming import condensing_in_loop, inlet_rises, rise_in_loop
from loop.parts.friction import GRAVITY, velocity_head
from loop.records import dataclass

# Columns of random draws for a reading's own spread, after the loop's columns.
_OWN = ("power", "heat", "conductance")
# Stands for an unbounded reading, such as the temperature rise of standing water.
_NEVER = 1e12


@dataclass(frozen=True)
class Range:
    """Expected value of a reading, and the limits of its healthy range, in SI units."""

    middle: float
    low: float
    high: float


class Spread:
    """Ranges of a loop's readings; NaN where there is nothing to read."""

    def __init__(self, point: OperatingPoint) -> None:
        self.point = point
        self.network: Network = point.network
        self.normal = band_draws(self.network, len(_OWN))
        self.cases = sampled_cases(self.network, self.normal[:, : draw_columns(self.network)])

    @property
    def flows(self) -> Flows:
        """Flows of the samples behind the flow band."""
        return self.point.drawn

    def inlet_pressure(self) -> Range:
        """Gauge pressure at the pump's inlet [Pa]."""
        return self._about(self.point.pump_inlet.gauge_pressure, self._inlet_pressures())

    def outlet_pressure(self) -> Range:
        """Gauge pressure at the pump's outlet, at the pump's height [Pa]."""
        index = self.network.pump_index
        bores = self._bore_before_pump, self.network.parts[index].inner_bore
        # Pumps in parallel have a port each, and share the flow.
        at_port = self._pump_flows / self.network.pump.in_parallel
        slowed = velocity_head(self._pump_flows, bores[0]) - velocity_head(at_port, bores[1])
        rise = self._weight * (self.flows.pump_head + slowed)
        exact = self.point.stations[index].gauge_pressure
        return self._about(exact, self._inlet_pressures() + rise)

    def power(self) -> Range:
        """Electrical power of the pump or pump group [W]."""
        pump = installed_pump(self.network, self.cases)
        watts = pump.power_at(np.clip(self._pump_flows, 0.0, pump.last_flow))
        own = np.exp(tolerances.PUMP_POWER.sigma * self._own("power"))
        return self._about(self.point.power, watts * own)

    def rise(self, unit: Unit) -> Range:
        """Temperature rise of the water in a unit's condenser [K]."""
        flow = self._unit_flows(unit)
        inlet, inlets = self._inlets(unit)
        exact = float(rise_in_loop(self.network, unit, self._exact_flow(unit), inlet))
        drawn = rise_in_loop(self.network, unit, flow, inlets, Exchanger(heat=self._heat))
        return self._about(exact, drawn)

    def inlet(self, unit: Unit) -> Range:
        """Temperature of the water entering a unit [°C], at the job's sea temperature."""
        return self._about(*self._inlets(unit))

    def condensing(self, unit: Unit) -> Range:
        """Condensing temperature of a unit [°C], at the job's sea temperature."""
        network, flow = self.network, self._unit_flows(unit)
        inlet, inlets = self._inlets(unit)
        exact = float(condensing_in_loop(network, unit, self._exact_flow(unit), inlet))
        ua = np.exp(self._conductance_sigma * self._own("conductance"))
        drawn = condensing_in_loop(network, unit, flow, inlets, Exchanger(ua, heat=self._heat))
        return self._about(exact, drawn)

    def _inlets(self, unit: Unit) -> tuple[float, Array]:
        """Inlet temperature of a unit [°C]: the exact answer, and all samples."""
        network, sea = self.network, self.network.job.water.temperature
        number = network.job.condenser.index(unit)
        exact = inlet_rises(network, self.point.line_flow, sea)[0, number]
        drawn = inlet_rises(network, self.flows.line_flow, sea, self._heat)[:, number]
        return sea + float(exact), sea + drawn

    def _inlet_pressures(self) -> Array:
        network, flow = self.network, self._pump_flows
        before = network.lines[network.pump_line].parts
        before = before[: before.index(network.pump_index)]
        assert self.cases.loss is not None
        weight = self.cases.loss[:, list(before)]
        lost = resistance(network.tables[:, list(before)], place(flow), weight)[0] * flow**2
        head = network.start_head - network.job.fitted.loss * lost
        above = head - network.heights[network.pump_index]
        return np.asarray(self._weight * (above - velocity_head(flow, self._bore_before_pump)))

    @property
    def _heat(self) -> Array:
        """Factor on the heat that units reject, for each sample."""
        return np.asarray(np.exp(tolerances.HEAT.sigma * self._own("heat")))

    @property
    def _conductance_sigma(self) -> float:
        """Spread of the condensers' UA; the baseline's if one was taken."""
        spread = self.network.job.fitted.spread
        return tolerances.CONDUCTANCE.sigma if spread is None else spread[2]

    def _own(self, name: str) -> Array:
        return self.normal[:, draw_columns(self.network) + _OWN.index(name)]

    @property
    def _pump_flows(self) -> Array:
        return self.flows.line_flow[:, self.network.pump_line]

    @property
    def _bore_before_pump(self) -> float:
        return self.network.parts[self.network.pump_index - 1].inner_bore

    @property
    def _weight(self) -> float:
        return float(self.network.water.density * GRAVITY)

    def _unit_flows(self, unit: Unit) -> Array:
        line = self.network.unit_line(unit.name)
        return self.flows.line_flow[:, line]

    def _exact_flow(self, unit: Unit) -> float:
        return self.point.flow_through(self.network.condenser_part(unit.name))

    def _about(self, exact: float, values: Array) -> Range:
        """Range around the exact answer, from the samples."""
        held = np.clip(np.nan_to_num(values, nan=_NEVER), -_NEVER, _NEVER)
        edges = band_edges(held[:, None], self.normal)
        low, high = (np.inf if edge[0] >= _NEVER else float(edge[0]) for edge in edges)
        return Range(exact, min(low, exact), max(high, exact))
