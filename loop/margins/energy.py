"""Electrical cost of the water: compressors, by their condensing temperature, and the pump.

A weak pump costs twice, since the compressor's power rises with the condensing temperature; a
strong one costs its own watts. Powers are those at the source: the batteries (through the inverter
for AC loads) if the job has a ``[supply]``, otherwise shore power.
"""

import math
from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Network, OperatingPoint, solve_flows
from loop.job import Job, Unit
from loop.margins.battery import running_hours, source_efficiency
from loop.margins.heat import runs_on
from loop.margins.warming import condensing_in_loop, inlet_rises
from loop.parts.friction import GRAVITY
from loop.pumps.nameplate import EFFICIENCY
from loop.records import dataclass
from loop.units import parse

FULL = "full"
# Condensing temperatures [°C] for comparison: near 80 °F is healthy in a mild sea, 105 to 110 °F is
# not (common practice).
COMPARED = tuple(parse(f"{at} degF", "temperature") for at in (80, 105, 110))
# Pump speeds, relative to its own, for the search of the least total draw: from a third to twice
# the flow, which contains the minimum of any healthy loop.
_SPEEDS = np.linspace(0.3, 2.0, 69)


@dataclass(frozen=True)
class UnitDraw:
    """A unit at one stage: condensing temperature [°C] and power drawn [W], fan included.

    The power is NaN where the unit trips: none runs on above `loop.margins.heat.TRIPS`.
    """

    name: str
    condensing_temperature: float
    power: float


@dataclass(frozen=True)
class StageDraw:
    """Power drawn by the whole loop with its units at one stage.

    ``power`` is what the source supplies to pump and units [W], ``pump_share`` the pump's share of
    it; ``current`` [A] and ``hours`` are the battery's, NaN if the job has no ``[supply]``.
    """

    stage: str
    units: tuple[UnitDraw, ...]
    power: float
    pump_share: float
    current: float
    hours: float


@dataclass(frozen=True)
class Energy:
    """Electrical power drawn by a loop at each stage of its units, full stage first.

    ``pump_estimated``: the pump's file states no power, and it is estimated from hydraulic power.
    ``left_out`` names units without a stated draw, which are not in the totals. ``best_flow`` is
    the pump flow [m³/s] beyond which, at full stage, one more watt of pump power saves less than a
    watt of compressor power, and ``best_power`` the draw there [W]; NaN where units trip.
    """

    stages: tuple[StageDraw, ...]
    pump_estimated: bool
    left_out: tuple[str, ...]
    best_flow: float
    best_power: float


@dataclass(frozen=True)
class DrawCurve:
    """Power against increasing pump flow [m³/s]: pump, units and total [W], shape (n,) each.

    All at the source; NaN where a unit trips.
    """

    flow: Array
    pump: Array
    units: Array

    @property
    def total(self) -> Array:
        """Total power at the source [W]."""
        return self.pump + self.units


def energy(point: OperatingPoint) -> Energy | None:
    """Draw and hours of a loop at its operating point; None if no unit states its draw.

    Two batteries of 300 A·h, 85 % usable, sustain 47 A for a little over 10 hours and 24 A for
    about 21 (`running_hours`); a unit's draw depends on its condensing temperature
    (`loop.job.electrical`).
    """
    job = point.network.job
    if all(unit.electrical is None for unit in job.condenser):
        return None
    names = [stage.name for unit in job.condenser for stage in unit.stage]
    best_flow, best_power = _minimum(draw_curve(point))
    return Energy(
        stages=tuple(_stage(point, name) for name in (FULL, *dict.fromkeys(names))),
        pump_estimated=not math.isfinite(point.power),
        left_out=tuple(unit.name for unit in job.condenser if unit.electrical is None),
        best_flow=best_flow,
        best_power=best_power,
    )


def draw_curve(point: OperatingPoint) -> DrawCurve:
    """Total draw at full stage against flow, for smaller and larger pumps of equal efficiency.

    The pump is run slower and faster, which changes the flow of every branch as in the real loop;
    its power is the hydraulic power over this pump's own efficiency at its operating point.
    """
    network, job = point.network, point.network.job
    flows = solve_flows(network, Cases(speed=_SPEEDS))
    pump_flow = flows.line_flow[:, network.pump_line]
    water_power = network.water.density * GRAVITY * pump_flow * flows.pump_head
    hydraulic_power = network.water.density * GRAVITY * point.flow * point.pump_head
    efficiency = hydraulic_power / _pump_power(point) if hydraulic_power > 0 else EFFICIENCY
    pump = water_power / efficiency / source_efficiency(job.supply, network.pump.curve.drive)
    return DrawCurve(pump_flow, pump, _units_power(network, flows.line_flow)[1])


def _minimum(curve: DrawCurve) -> tuple[float, float]:
    """Flow and draw at the minimum of the total, on the parabola through the three points there."""
    total = curve.total
    if not np.isfinite(total).any():
        return math.nan, math.nan
    index = int(np.nanargmin(total))
    near = slice(index - 1, index + 2)
    if not 0 < index < len(total) - 1 or not np.isfinite(total[near]).all():
        return float(curve.flow[index]), float(total[index])
    parabola = np.polynomial.Polynomial.fit(curve.flow[near], total[near], 2)
    (flow,) = parabola.deriv().roots().real
    return float(flow), float(parabola(flow))


def at_condensing(point: OperatingPoint, condensing: float) -> StageDraw:
    """Draw of the loop at full stage if every unit condensed at one temperature [°C]."""
    network = _at_stage(point.network, FULL)
    return _stage_draw(point, network.job, FULL, [condensing] * len(network.job.condenser))


def _stage(point: OperatingPoint, name: str) -> StageDraw:
    network = _at_stage(point.network, name)
    condensing, _ = _units_power(network, point.line_flow[None, :])
    return _stage_draw(point, network.job, name, condensing[0].tolist())


def _stage_draw(
    point: OperatingPoint, job: Job, name: str, condensing: Sequence[float]
) -> StageDraw:
    """One stage, with the condensing temperature [°C] of each unit given."""
    supply, pump = job.supply, _pump_power(point)
    draws = tuple(
        UnitDraw(unit.name, temperature, unit_power(unit, temperature))
        for unit, temperature in zip(job.condenser, condensing, strict=True)
        if unit.electrical is not None
    )
    drives = {unit.name: unit.drive for unit in job.condenser}
    pump_source = pump / source_efficiency(supply, job.pump.curve.drive)
    units = sum(draw.power / source_efficiency(supply, drives[draw.name]) for draw in draws)
    power = units + pump_source
    current = power / supply.voltage if supply else math.nan
    return StageDraw(
        stage=name,
        units=draws,
        power=power,
        pump_share=pump_source / power,
        current=current,
        hours=running_hours(supply, current) if supply and current > 0 else math.nan,
    )


def _at_stage(network: Network, name: str) -> Network:
    units = tuple(unit.at_stage(name) for unit in network.job.condenser)
    return network.varied(job=network.job.model_copy(update={"condenser": units}))


def _units_power(network: Network, line_flow: Array) -> tuple[Array, Array]:
    """Condensing temperature of each unit [°C], (n, units), and their power at the source [W]."""
    job: Job = network.job
    inlets = job.water.temperature + inlet_rises(network, line_flow, job.water.temperature)
    condensing, total = np.empty_like(inlets), np.zeros(len(line_flow))
    for number, unit in enumerate(job.condenser):
        flow = line_flow[:, network.unit_line(unit.name)]
        condensing[:, number] = condensing_in_loop(network, unit, flow, inlets[:, number])
        if unit.electrical is not None:
            powers = [unit_power(unit, float(temperature)) for temperature in condensing[:, number]]
            total += np.array(powers) / source_efficiency(job.supply, unit.drive)
    return condensing, total


def unit_power(unit: Unit, condensing: float) -> float:
    """Power of a unit [W] at this condensing temperature [°C]; NaN where it trips."""
    line = unit.power_line
    return line.power(condensing) if line is not None and runs_on(condensing) else math.nan


def _pump_power(point: OperatingPoint) -> float:
    """The pump's power [W]; if its file states none, a cautious estimate from hydraulic power."""
    if math.isfinite(point.power):
        return point.power
    water = point.network.water.density * GRAVITY * point.flow * point.pump_head
    return water / EFFICIENCY
