"""What the water costs in battery: the compressors by their condensing temperature, and the pump.

A weak pump costs twice, since the compressor's power rises with the condensing temperature; a
strong one costs its own watts. Powers are what the source gives: the batteries, through the
inverter what runs on AC, where the job has a ``[supply]``; the shore line where it has none.
"""

import math
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Network, OperatingPoint, solve_flows
from loop.job import Job, Supply, Unit
from loop.margins.heat import TRIPS, condensing_in_loop, inlet_rises
from loop.parts.friction import GRAVITY
from loop.pumps import PumpCurve
from loop.pumps.nameplate import EFFICIENCY
from loop.records import dataclass

FULL = "full"
# Speeds of the pump over its own at which the total draw is asked, to find where it is least; from
# a third to twice the flow the least of any healthy loop lies between them.
_SPEEDS = np.linspace(0.3, 2.0, 69)


@dataclass(frozen=True)
class Running:
    """One stage of the unit: currents at the bank [A], the pump's share, hours on the bank."""

    draw: float
    pump_draw: float
    pump_share: float
    hours: float


def usable_charge(supply: Supply) -> float:
    """Charge that the bank gives before it must be charged again [A·h]."""
    return supply.battery * supply.batteries * supply.usable


def running_hours(supply: Supply, draw: float) -> float:
    """Hours that the bank carries a steady `draw` [A], above 0.

    Charge over current; lithium cells give nearly the same charge at any of these currents, lead
    ones less at a high one.

    Two of 300 A·h, 85 % usable: a little over 10 hours at 47 A, about 21 at 24 A (a fact of the
    trade; common practice):

    >>> bank = Supply(battery=300.0, batteries=2, voltage=12.8)
    >>> print(f"{running_hours(bank, 47.0):.1f} {running_hours(bank, 24.0):.1f}")
    10.9 21.2
    """
    return usable_charge(supply) / draw


def pump_draw(supply: Supply, pump: PumpCurve, power: float) -> float:
    """Current that a pump of `power` [W] draws from the bank [A]; NaN where power is not known.

    An AC pump's power comes through the inverter.
    """
    return power / (passed_on(supply, pump.drive) * supply.voltage)


def passed_on(supply: Supply | None, drive: str) -> float:
    """Share of a source's power that reaches what runs on this drive: "ac" through the inverter."""
    return supply.inverter_efficiency if supply is not None and drive == "ac" else 1.0


def running(supply: Supply | None, present: float, pump: float) -> tuple[Running, ...]:
    """Consumption and hours at each stage that the job states, with one pump instead of another.

    Parameters
    ----------
    supply : Supply or None
        The answer is empty where there is none.
    present, pump : float
        Draw of the pump that the stated draws include, and of the pump in question [A]. Where
        either is not known (NaN), so are the hours.
    """
    found = []
    for stage in supply.draw if supply else ():
        total = stage - present + pump
        known = math.isfinite(total) and total > 0
        share = pump / total if known else math.nan
        hours = running_hours(supply, total) if supply and known else math.nan
        found.append(Running(total, pump, share, hours))
    return tuple(found)


@dataclass(frozen=True)
class UnitDraw:
    """A unit at one stage: where it condenses [°C], and what it draws [W], its fan included.

    Both infinite and NaN where it trips: no unit runs on past `TRIPS`.
    """

    name: str
    condensing_temperature: float
    power: float


@dataclass(frozen=True)
class StageDraw:
    """The whole loop with its units at one stage.

    ``pump_power`` is what the pump draws [W]; ``power`` what the source gives to pump and units
    [W], of which the pump has the share ``pump_share``; ``current`` [A] and ``hours`` are the
    battery's, NaN where the job has no ``[supply]``.
    """

    stage: str
    units: tuple[UnitDraw, ...]
    pump_power: float
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


def _stage(point: OperatingPoint, name: str) -> StageDraw:
    network = _at_stage(point.network, name)
    job, supply = network.job, network.job.supply
    condensing, units = _units_power(network, point.line_flow[None, :])
    pump = _pump_power(point)
    pump_source = pump / passed_on(supply, network.pump.curve.drive)
    power = float(units[0]) + pump_source
    current = power / supply.voltage if supply else math.nan
    draws = tuple(
        UnitDraw(unit.name, float(hot), unit_power(unit, float(hot)))
        for unit, hot in zip(job.condenser, condensing[0], strict=True)
        if unit.electrical is not None
    )
    return StageDraw(
        stage=name,
        units=draws,
        pump_power=pump,
        power=power,
        pump_share=pump_source / power,
        current=current,
        hours=running_hours(supply, current) if supply and current > 0 else math.nan,
    )


def _at_stage(network: Network, name: str) -> Network:
    units = tuple(unit.at_stage(name) for unit in network.job.condenser)
    return replace(network, job=network.job.model_copy(update={"condenser": units}))


def _units_power(network: Network, line_flow: Array) -> tuple[Array, Array]:
    """Condensing temperature of each unit [°C], (n, units), and what all draw at the source [W]."""
    job: Job = network.job
    inlets = job.water.temperature + inlet_rises(network, line_flow, job.water.temperature)
    condensing, total = np.empty_like(inlets), np.zeros(len(line_flow))
    for number, unit in enumerate(job.condenser):
        flow = line_flow[:, network.line_of[network.condenser_part(unit.name)]]
        condensing[:, number] = condensing_in_loop(network, unit, flow, inlets[:, number])
        if unit.electrical is not None:
            powers = [unit_power(unit, float(hot)) for hot in condensing[:, number]]
            total += np.array(powers) / passed_on(job.supply, unit.drive)
    return condensing, total


def unit_power(unit: Unit, condensing: float) -> float:
    """What a unit draws [W] where it condenses at this temperature [°C]; NaN where it trips."""
    line = unit.power_line
    return line.power(condensing) if line is not None and condensing <= TRIPS else math.nan


def _pump_power(point: OperatingPoint) -> float:
    """The pump's power [W]; from the water's where its file states none: a cautious estimate."""
    if math.isfinite(point.power):
        return point.power
    water = point.network.water.density * GRAVITY * point.flow * point.pump_head
    return water / EFFICIENCY
