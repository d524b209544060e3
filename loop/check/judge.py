"""The main job: reckon a loop, judge it, and say how to mend it."""

import math
from collections.abc import Iterable

import numpy as np

from loop.air.air_paths import air_paths
from loop.balancing.balance import balance
from loop.check.air import air_findings
from loop.check.balance import balance_findings
from loop.check.cautions import cautions
from loop.check.flow import flow_findings
from loop.check.outlet import discharge_findings, heat_findings
from loop.check.result import CheckResult, CondenserResult, Finding, PumpResult, Verdict
from loop.check.speed import speed_findings
from loop.check.subject import Subject, flows_when_blocked
from loop.check.suction import suction_findings
from loop.hydraulics import OperatingPoint, solve
from loop.job import Job
from loop.margins.heat import condensing_temperature, inlet_rises, passed_before, unit_rise
from loop.margins.suction import npsh_available
from loop.parts import Strainer

_ORDER = {"danger": 0, "warning": 1, "note": 2}
# Shares of the basket at which the flow is asked, to find where it falls to the need.
_BLOCKED = np.linspace(0.0, 0.98, 50)
_HALF = 25  # where among them a half is


def check(job: Job) -> CheckResult:
    """What a loop will do, against what its condensers need, and what is wrong with it.

    Parameters
    ----------
    job : Job
        From `loop.read_job`, or built in code.

    Returns
    -------
    CheckResult
        Operating point with its band, condensers, air, findings with their fixes, verdict:
        "good" where every condenser meets its need at the low end of the band and nothing is a
        danger or a warning; "bad" where one misses it at the middle, or anything is a danger;
        otherwise "attention". SI units and °C.
    """
    point = solve(job)
    air = air_paths(point.network, point)
    subject = Subject(
        job=job,
        point=point,
        pump=_pump(job, point, max((path.start_head for path in air), default=0.0)),
        condensers=_condensers(job, point),
        air=air,
        even=balance(point.network) if point.network.forks and point.flow > 0 else None,
    )
    findings = _findings(subject)
    return CheckResult(
        job=job,
        point=point,
        verdict=_verdict(subject, findings),
        pump=subject.pump,
        condensers=subject.condensers,
        air=air,
        findings=findings,
        cautions=cautions(job),
    )


def _pump(job: Job, point: OperatingPoint, start_head: float) -> PumpResult:
    pump = point.network.pump
    speed = pump.speed * job.fitted.pump
    rated_flow = point.flow / (speed * pump.in_parallel)
    return PumpResult(
        name=pump.curve.name,
        flow=point.flow,
        head=point.pump_head,
        power=point.power,
        shutoff_head=point.shutoff_head,
        start_head=start_head,
        npsh_available=npsh_available(point, point.network.water),
        # Required NPSH goes with the square of speed, as head does.
        npsh_required=float(pump.curve.npsh_required(rated_flow)) * speed**2,
    )


def _condensers(job: Job, point: OperatingPoint) -> tuple[CondenserResult, ...]:
    network, water = point.network, point.network.water
    has_strainer = any(isinstance(part, Strainer) for part in network.parts)
    blocked = flows_when_blocked(point, _BLOCKED) if has_strainer and point.flow > 0 else None
    sea = job.water.temperature
    inlets = sea + inlet_rises(network, point.line_flow, sea)[0]
    results = []
    for unit, inlet in zip(job.condenser, inlets, strict=True):
        index = network.condenser_part(unit.name)
        line = network.line_of[index]
        flow, low, high = point.part_flow(index)
        results.append(
            CondenserResult(
                name=unit.name,
                needed_flow=unit.needed_flow,
                flow=flow,
                flow_low=low,
                flow_high=high,
                inlet_temperature=float(inlet),
                warmed_by=passed_before(network, point.line_flow, unit.name),
                temperature_rise=float(unit_rise(unit, flow, inlet, water, ua=job.fitted.ua)),
                condensing_temperature=float(
                    condensing_temperature(unit, flow, inlet, water, ua=job.fitted.ua)
                ),
                flow_half_blocked=math.nan if blocked is None else float(blocked[_HALF, line]),
                clean_at=math.nan
                if blocked is None
                else _falls_to(unit.needed_flow, blocked[:, line]),
            )
        )
    return tuple(results)


def _falls_to(need: float, flow: "np.ndarray[tuple[int], np.dtype[np.float64]]") -> float:
    """Share blocked at which `flow`, falling along `_BLOCKED`, reaches `need`; NaN if never."""
    if flow[0] < need or flow[-1] > need:
        return math.nan
    return float(np.interp(-need, -flow, _BLOCKED))


def _findings(subject: Subject) -> tuple[Finding, ...]:
    found: Iterable[Finding] = (
        *flow_findings(subject),
        *balance_findings(subject),
        *suction_findings(subject),
        *air_findings(subject),
        *heat_findings(subject),
        *speed_findings(subject),
        *discharge_findings(subject),
    )
    return tuple(sorted(found, key=lambda finding: _ORDER[finding.level]))


def _verdict(subject: Subject, findings: tuple[Finding, ...]) -> Verdict:
    levels = {finding.level for finding in findings}
    if subject.short or "danger" in levels:
        return "bad"
    marginal = any(c.flow_low < c.needed_flow for c in subject.condensers)
    return "attention" if marginal or "warning" in levels else "good"
