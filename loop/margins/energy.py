"""What the water costs in battery: the compressors by their condensing temperature, and the pump.

A weak pump costs twice, since the compressor's power rises with the condensing temperature; a
strong one costs its own watts. Powers are what the source gives: the batteries, through the
inverter what runs on AC, where the job has a ``[supply]``; the shore line where it has none.
"""

import math
from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Network, OperatingPoint, solve_flows
from loop.job import Job, Unit
from loop.margins.battery import passed_on, running_hours
from loop.margins.heat import runs_on
from loop.margins.warming import condensing_in_loop, inlet_rises
from loop.parts.friction import GRAVITY
from loop.pumps.nameplate import EFFICIENCY
from loop.records import dataclass
from loop.units import parse

FULL = "full"
# Condensing temperatures [°C] that are set side by side: near 80 °F is healthy in a mild sea, 105
# to 110 °F is not (common practice).
COMPARED = tuple(parse(f"{at} degF", "temperature") for at in (80, 105, 110))
# Speeds of the pump over its own at which the total draw is asked, to find where it is least; from
# a third to twice the flow the least of any healthy loop lies between them.
_SPEEDS = np.linspace(0.3, 2.0, 69)


@dataclass(frozen=True)
class UnitDraw:
    """A unit at one stage: where it condenses [°C], and what it draws [W], its fan included.

    Both infinite and NaN where it trips: no unit runs on past `loop.margins.heat.TRIPS`.
    """

    name: str
    condensing_temperature: float
    power: float


@dataclass(frozen=True)
class StageDraw:
    """The whole loop with its units at one stage.

    ``power`` is what the source gives to pump and units [W], of which the pump has the share
    ``pump_share``; ``current`` [A] and ``hours`` are the battery's, NaN where the job has no
    ``[supply]``.
    """

    stage: str
    units: tuple[UnitDraw, ...]
    power: float
    pump_share: float
    current: float
    hours: float


@dataclass(frozen=True)
class Energy:
    """What a loop draws at each stage of its units, the full one first.

    ``pump_estimated`` says that the pump's file states no power, which then is estimated from the
    water's. ``left_out`` names units of which no draw is stated; it is not in the totals.
    ``best_flow`` is the pump's flow [m³/s] beyond which, at full stage, one more watt of pump saves
    less than a watt of compressor, and ``best_power`` the draw there [W]; NaN where units trip.
    """

    stages: tuple[StageDraw, ...]
    pump_estimated: bool
    left_out: tuple[str, ...]
    best_flow: float
    best_power: float


@dataclass(frozen=True)
class DrawCurve:
    """Draw against the pump's flow [m³/s], rising: pump's, units' and total [W], shape (n,) each.

    All as the source gives them; NaN where a unit trips.
    """

    flow: Array
    pump: Array
    units: Array

    @property
    def total(self) -> Array:
        """What the source gives in all [W]."""
        return self.pump + self.units


def energy(point: OperatingPoint) -> Energy | None:
    """Draw and hours of a loop at its operating point; None where no unit states what it draws.

    Two batteries of 300 A·h, 85 % usable, carry 47 A a little over 10 hours and 24 A about 21
    (`running_hours`); a unit's draw follows its condensing temperature (`loop.job.electrical`).
    """
    job = point.network.job
    if all(unit.electrical is None for unit in job.condenser):
        return None
    names = [stage.name for unit in job.condenser for stage in unit.stage]
    best_flow, best_power = _least(draw_curve(point))
    return Energy(
        stages=tuple(_stage(point, name) for name in (FULL, *dict.fromkeys(names))),
        pump_estimated=not math.isfinite(point.power),
        left_out=tuple(unit.name for unit in job.condenser if unit.electrical is None),
        best_flow=best_flow,
        best_power=best_power,
    )


def draw_curve(point: OperatingPoint) -> DrawCurve:
    """Total draw at full stage against flow, with pumps as good as this one but smaller or larger.

    The pump is taken faster and slower, which moves the flow of every branch as the loop has it;
    its power is the water's over this pump's own efficiency at its operating point.
    """
    network, job = point.network, point.network.job
    flows = solve_flows(network, Cases(speed=_SPEEDS))
    pump_flow = flows.line_flow[:, network.pump_line]
    water = network.water.density * GRAVITY * pump_flow * flows.pump_head
    own = network.water.density * GRAVITY * point.flow * point.pump_head
    efficiency = own / _pump_power(point) if own > 0 else EFFICIENCY
    pump = water / efficiency / passed_on(job.supply, network.pump.curve.drive)
    return DrawCurve(pump_flow, pump, _units_power(network, flows.line_flow)[1])


def _least(curve: DrawCurve) -> tuple[float, float]:
    """Flow and draw where the total is least, on the parabola through the three points about it."""
    total = curve.total
    if not np.isfinite(total).any():
        return math.nan, math.nan
    at = int(np.nanargmin(total))
    if not 0 < at < len(total) - 1 or not np.isfinite(total[at - 1 : at + 2]).all():
        return float(curve.flow[at]), float(total[at])
    parabola = np.polynomial.Polynomial.fit(curve.flow[at - 1 : at + 2], total[at - 1 : at + 2], 2)
    (flow,) = parabola.deriv().roots().real
    return float(flow), float(parabola(flow))


def at_condensing(point: OperatingPoint, condensing: float) -> StageDraw:
    """The loop at full stage as it would draw if each unit condensed at one temperature [°C]."""
    network = _at_stage(point.network, FULL)
    return _drawn(point, network.job, FULL, [condensing] * len(network.job.condenser))


def _stage(point: OperatingPoint, name: str) -> StageDraw:
    network = _at_stage(point.network, name)
    condensing, _ = _units_power(network, point.line_flow[None, :])
    return _drawn(point, network.job, name, condensing[0].tolist())


def _drawn(point: OperatingPoint, job: Job, name: str, condensing: Sequence[float]) -> StageDraw:
    """One stage, with each unit condensing at a temperature [°C] that is given."""
    supply, pump = job.supply, _pump_power(point)
    draws = tuple(
        UnitDraw(unit.name, hot, unit_power(unit, hot))
        for unit, hot in zip(job.condenser, condensing, strict=True)
        if unit.electrical is not None
    )
    drives = {unit.name: unit.drive for unit in job.condenser}
    pump_source = pump / passed_on(supply, job.pump.curve.drive)
    units = sum(draw.power / passed_on(supply, drives[draw.name]) for draw in draws)
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
    """Condensing temperature of each unit [°C], (n, units), and what all draw at the source [W]."""
    job: Job = network.job
    inlets = job.water.temperature + inlet_rises(network, line_flow, job.water.temperature)
    condensing, total = np.empty_like(inlets), np.zeros(len(line_flow))
    for number, unit in enumerate(job.condenser):
        flow = line_flow[:, network.unit_line(unit.name)]
        condensing[:, number] = condensing_in_loop(network, unit, flow, inlets[:, number])
        if unit.electrical is not None:
            powers = [unit_power(unit, float(hot)) for hot in condensing[:, number]]
            total += np.array(powers) / passed_on(job.supply, unit.drive)
    return condensing, total


def unit_power(unit: Unit, condensing: float) -> float:
    """What a unit draws [W] where it condenses at this temperature [°C]; NaN where it trips."""
    line = unit.power_line
    return line.power(condensing) if line is not None and runs_on(condensing) else math.nan


def _pump_power(point: OperatingPoint) -> float:
    """The pump's power [W]; from the water's where its file states none: a cautious estimate."""
    if math.isfinite(point.power):
        return point.power
    water = point.network.water.density * GRAVITY * point.flow * point.pump_head
    return water / EFFICIENCY
