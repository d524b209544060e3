"""The state of a job's pump and condensers at its operating point."""

import math

from loop.air.air_paths import AirPath
from loop.check.result import CondenserResult, PumpResult
from loop.hydraulics import OperatingPoint, installed_pump
from loop.job import Job
from loop.margins.energy import unit_power
from loop.margins.suction import npsh_available
from loop.margins.warming import condensing_in_loop, inlet_rises, rise_in_loop, units_upstream


def pump_result(point: OperatingPoint, air: tuple[AirPath, ...]) -> PumpResult:
    """The pump, with the priming head of the air path that needs the most."""
    pump = installed_pump(point.network)
    available, required = npsh_heads(point)
    return PumpResult(
        name=pump.pump.curve.name,
        flow=point.flow,
        head=point.pump_head,
        power=point.power,
        shutoff_head=point.shutoff_head,
        start_head=max((path.start_head for path in air), default=0.0),
        npsh_available=available,
        npsh_required=required,
    )


def npsh_heads(point: OperatingPoint) -> tuple[float, float]:
    """Net positive suction head at the pump, available and required [m]; NaN if unknown."""
    required = installed_pump(point.network).npsh_required_at(point.flow)
    return npsh_available(point, point.network.water), float(required[0])


def _unit_flow(point: OperatingPoint, unit: str) -> float:
    """Flow through a unit [m³/s]."""
    return point.flow_through(point.network.condenser_part(unit))


def condenser_results(job: Job, point: OperatingPoint) -> tuple[CondenserResult, ...]:
    """The condensers with their bands; fields on a blocked strainer are NaN, filled in later."""
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
                flow_best=flow if point.best is None else _unit_flow(point.best, unit.name),
                inlet_temperature=float(inlet),
                warmed_by=units_upstream(network, point.line_flow, unit.name),
                temperature_rise=float(rise_in_loop(network, unit, flow, inlet)),
                condensing_temperature=float(hot),
                electrical=unit_power(unit, float(hot)),
                flow_half_blocked=math.nan,
                clean_at=math.nan,
            )
        )
    return tuple(results)
