"""A job's context: its operating point, and what findings ask of it."""

import math

from loop.air.air_paths import AirPath, air_paths
from loop.check.context import Context
from loop.check.result import CondenserResult, PumpResult
from loop.hydraulics import OperatingPoint, installed_pump, solve
from loop.job import Job
from loop.margins.energy import unit_power
from loop.margins.suction import npsh_available
from loop.margins.warming import condensing_in_loop, inlet_rises, passed_before, rise_in_loop


def look(job: Job) -> Context:
    """The context of a job, with what a blocked strainer leaves yet to be asked."""
    point = solve(job)
    air = air_paths(point.network, point)
    resting = None
    if point.network.start_head != 0:
        resting = look(job.at_speed(0.0))
    return Context(
        job=job,
        point=point,
        at_rest=resting,
        pump=_pump(point, air),
        condensers=_condensers(job, point),
        air=air,
    )


def _pump(point: OperatingPoint, air: tuple[AirPath, ...]) -> PumpResult:
    pump = installed_pump(point.network)
    return PumpResult(
        name=pump.pump.curve.name,
        flow=point.flow,
        head=point.pump_head,
        power=point.power,
        shutoff_head=point.shutoff_head,
        start_head=max((path.start_head for path in air), default=0.0),
        npsh_available=npsh_available(point, point.network.water),
        npsh_required=float(pump.npsh_required_at(point.flow)[0]),
    )


def _through(point: OperatingPoint, unit: str) -> float:
    """Flow through a unit [m³/s]."""
    return point.flow_through(point.network.condenser_part(unit))


def _condensers(job: Job, point: OperatingPoint) -> tuple[CondenserResult, ...]:
    network = point.network
    sea = job.water.temperature
    inlets = sea + inlet_rises(network, point.line_flow, sea)[0]
    results = []
    for unit, inlet in zip(job.condenser, inlets, strict=True):
        flow, low, high = point.part_flow(network.condenser_part(unit.name))
        hot = condensing_in_loop(network, unit, flow, inlet)
        results.append(
            CondenserResult(
                name=unit.name,
                needed_flow=unit.needed_flow,
                flow=flow,
                flow_low=low,
                flow_high=high,
                flow_best=flow if point.best is None else _through(point.best, unit.name),
                inlet_temperature=float(inlet),
                warmed_by=passed_before(network, point.line_flow, unit.name),
                temperature_rise=float(rise_in_loop(network, unit, flow, inlet)),
                condensing_temperature=float(hot),
                electrical=unit_power(unit, float(hot)),
                flow_half_blocked=math.nan,
                clean_at=math.nan,
            )
        )
    return tuple(results)
