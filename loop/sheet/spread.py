"""How far each reading of a healthy loop may lie from the middle answer.

The same four tolerances as the flow's own band, each at its edge in turn, put through the same
solver; for the unit's temperatures, the unit's own spread as well. Shifts that are independent add
as the root of their squares (JCGM 100:2008, 5.1.2).
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, OperatingPoint, bore_factors, solve_flows
from loop.hydraulics.band import BORE, LOSS, PUMP_FLOW, PUMP_HEAD
from loop.job import Unit
from loop.margins.heat import condensing_temperature, inlet_rises, unit_rise
from loop.parts.friction import GRAVITY, velocity_head

# ISO 9906:2012 grade 2B: tolerance of a pump's power about its stated curve; from memory.
PUMP_POWER = 0.08
# Engineering estimates: heat that a unit rejects about its stated figure, and the conductance of a
# clean condenser about the one that its approach gives.
HEAT, CONDUCTANCE = 0.10, 0.15


@dataclass(frozen=True)
class Range:
    """What to expect of one reading, with the low and high edge of what is healthy, in SI units."""

    middle: float
    low: float
    high: float


class Spread:
    """Ranges of the readings of one loop; NaN where there is nothing to read."""

    def __init__(self, point: OperatingPoint) -> None:
        self.point = point
        self.network: Network = point.network
        self.losses = _losses(self.network)
        self.cases = _cases(self.losses)

    @cached_property
    def flows(self) -> Flows:
        """The nominal case first, then each tolerance at its two edges."""
        return solve_flows(self.network, self.cases)

    def inlet_pressure(self) -> Range:
        """Gauge pressure at the pump's inlet [Pa]."""
        return self._about(self.point.pump_inlet.gauge_pressure, self._inlet_pressures())

    def outlet_pressure(self) -> Range:
        """Gauge pressure at the pump's outlet, at the pump's height [Pa]."""
        index = self.network.pump_index
        bores = self._bore_before_pump, self.network.parts[index].inner_bore
        slowed = [
            velocity_head(flow, bores[0]) - velocity_head(flow, bores[1])
            for flow in self._pump_flows
        ]
        rise = self._weight * (self.flows.pump_head + np.array(slowed))
        exact = self.point.stations[index].gauge_pressure
        return self._about(exact, self._inlet_pressures() + rise)

    def power(self) -> Range:
        """Electrical power of the pump, or of the group [W]."""
        pump = self.network.pump
        speed = pump.speed * self.network.job.fitted.pump
        rated = self._pump_flows / (speed * self.cases.pump_flow * pump.in_parallel)
        watts = pump.curve.power(rated) * speed**3 * pump.count
        known = np.where(np.isfinite(watts), watts, watts[0])
        edges = known[0] + self.point.power * np.array([-PUMP_POWER, PUMP_POWER])
        return self._about(self.point.power, np.concatenate([known, edges]))

    def rise(self, unit: Unit) -> Range:
        """Rise of the water's temperature in a unit's condenser [K]."""
        flow, water = self._unit_flows(unit), self.network.water
        inlet, inlets = self._inlets(unit)
        ua = self.network.job.fitted.ua
        exact = float(unit_rise(unit, self._exact_flow(unit), inlet, water, ua=ua))
        values = unit_rise(unit, flow, inlets, water, ua=ua)
        heats = np.array([1 - HEAT, 1 + HEAT])
        edges = unit_rise(unit, flow[0], inlets[0], water, ua=ua, heat=heats)
        return self._about(exact, np.array([*values, *edges]))

    def inlet(self, unit: Unit) -> Range:
        """Temperature of the water that comes to a unit [°C], in a sea of the job's temperature."""
        sea = self.network.job.water.temperature
        exact, values = self._inlets(unit)
        warmer = values[0] + (values[0] - sea) * np.array([-HEAT, HEAT])
        return self._about(exact, np.concatenate([values, warmer]))

    def condensing(self, unit: Unit) -> Range:
        """Condensing temperature of a unit [°C], in a sea of the job's temperature."""
        flow, water = self._unit_flows(unit), self.network.water
        sea, fitted = self.network.job.water.temperature, self.network.job.fitted.ua
        inlet, inlets = self._inlets(unit)
        flow_now = self._exact_flow(unit)
        exact = float(condensing_temperature(unit, flow_now, inlet, water, ua=fitted))
        values = condensing_temperature(unit, flow, inlets, water, ua=fitted)
        conductances = fitted * np.array([1 + CONDUCTANCE, 1 - CONDUCTANCE])
        at_edges = condensing_temperature(unit, flow[0], inlets[0], water, ua=conductances)
        # At a given conductance the rise over the sea goes with the heat, that of units before too.
        hotter = values[0] + (values[0] - sea) * np.array([-HEAT, HEAT])
        return self._about(exact, np.concatenate([values, at_edges, hotter]))

    def _inlets(self, unit: Unit) -> tuple[float, Array]:
        """Temperature of a unit's water [°C]: the exact answer's, and of all cases."""
        network, sea = self.network, self.network.job.water.temperature
        number = network.job.condenser.index(unit)
        exact = inlet_rises(network, self.point.line_flow, sea)[0, number]
        return sea + float(exact), sea + inlet_rises(network, self.flows.line_flow, sea)[:, number]

    def _inlet_pressures(self) -> Array:
        network = self.network
        before = network.lines[network.pump_line].parts
        before = before[: before.index(network.pump_index)]
        head = np.full(self.cases.count, network.start_head)
        for row, flow in enumerate(self._pump_flows):
            for index in before if flow > 0 else ():
                lost = network.parts[index].head_loss(float(flow), network.water)
                head[row] -= network.job.fitted.loss * self.losses[row, index] * lost
        speed_head = np.array([velocity_head(f, self._bore_before_pump) for f in self._pump_flows])
        above = head - network.heights[network.pump_index] - speed_head
        return np.asarray(self._weight * above)

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
        line = self.network.line_of[self.network.condenser_part(unit.name)]
        return self.flows.line_flow[:, line]

    def _exact_flow(self, unit: Unit) -> float:
        return self.point.part_flow(self.network.condenser_part(unit.name))[0]

    @staticmethod
    def _about(exact: float, values: Array) -> Range:
        """Range about the exact answer from values whose first is the nominal one."""
        shifts = values[1:] - values[0]
        below = float(np.sum(np.minimum(shifts, 0.0) ** 2))
        above = float(np.sum(np.maximum(shifts, 0.0) ** 2))
        return Range(exact, exact - math.sqrt(below), exact + math.sqrt(above))


# Nominal, then pump flow, pump head, losses and hose bore, each at its low and high edge.
_CASES = 9


def _losses(network: Network) -> Array:
    """Factors on the losses of the parts, a row a case."""
    losses = np.ones((_CASES, len(network.parts)))
    losses[5:7] *= np.array([[1 + LOSS], [1 - LOSS]])
    losses[7:9] = bore_factors(network, np.array([-BORE, BORE]))
    return losses


def _cases(losses: Array) -> Cases:
    pump_flow, pump_head = np.ones(_CASES), np.ones(_CASES)
    pump_flow[1:3] = 1 - PUMP_FLOW, 1 + PUMP_FLOW
    pump_head[3:5] = 1 - PUMP_HEAD, 1 + PUMP_HEAD
    return Cases(pump_flow=pump_flow, pump_head=pump_head, loss=losses)
