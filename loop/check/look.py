"""A job's context: its operating point, and what findings ask of it."""

import math

from loop.air.air_paths import AirPath, air_paths
from loop.check.context import Context
from loop.check.result import CondenserResult, PumpResult
from loop.hydraulics import OperatingPoint, solve
from loop.job import Job
from loop.margins.heat import condensing_temperature, inlet_rises, passed_before, water_rise
from loop.margins.suction import npsh_available


def look(job: Job) -> Context:
    """The context of a job, with what a blocked strainer leaves yet to be asked."""
    point = solve(job)
    air = air_paths(point.network, point)
    resting = None
    if point.network.start_head != 0:
        boat = job.boat.model_copy(update={"speed": 0.0})
        resting = look(job.model_copy(update={"boat": boat}))
    return Context(
        job=job,
        point=point,
        at_rest=resting,
        pump=_pump(job, point, air),
        condensers=_condensers(job, point),
        air=air,
    )


def _pump(job: Job, point: OperatingPoint, air: tuple[AirPath, ...]) -> PumpResult:
    pump = point.network.pump
    speed = pump.speed * job.fitted.pump
    rated_flow = point.flow / (speed * pump.in_parallel)
    return PumpResult(
        name=pump.curve.name,
        flow=point.flow,
        head=point.pump_head,
        power=point.power,
        shutoff_head=point.shutoff_head,
        start_head=max((path.start_head for path in air), default=0.0),
        npsh_available=npsh_available(point, point.network.water),
        # Required NPSH goes with the square of speed, as head does.
        npsh_required=float(pump.curve.npsh_required(rated_flow)) * speed**2,
    )


def _condensers(job: Job, point: OperatingPoint) -> tuple[CondenserResult, ...]:
    network, water = point.network, point.network.water
    sea = job.water.temperature
    inlets = sea + inlet_rises(network, point.line_flow, sea)[0]
    results = []
    for unit, inlet in zip(job.condenser, inlets, strict=True):
        flow, low, high = point.part_flow(network.condenser_part(unit.name))
        results.append(
            CondenserResult(
                name=unit.name,
                needed_flow=unit.needed_flow,
                flow=flow,
                flow_low=low,
                flow_high=high,
                inlet_temperature=float(inlet),
                warmed_by=passed_before(network, point.line_flow, unit.name),
                temperature_rise=float(water_rise(unit.rejected_heat, flow, water)),
                condensing_temperature=float(
                    condensing_temperature(unit, flow, inlet, water, ua=job.fitted.ua)
                ),
                flow_half_blocked=math.nan,
                clean_at=math.nan,
            )
        )
    return tuple(results)
