"""The main job: reckon a loop, judge it, and say how to mend it."""

import math
from collections.abc import Iterable

import numpy as np

from loop.air.air_paths import air_paths
from loop.balancing.balance import balance
from loop.check.air import air_findings
from loop.check.balance import balance_findings
from loop.check.cautions import cautions
from loop.check.clean_by import shares_at_need
from loop.check.flow import flow_findings
from loop.check.outlet import discharge_findings, heat_findings
from loop.check.result import CheckResult, CondenserResult, Finding, PumpResult, Verdict
from loop.check.speed import speed_findings
from loop.check.subject import Subject, flows_when_blocked
from loop.check.suction import suction_findings
from loop.hydraulics import OperatingPoint, installed_pump, solve
from loop.job import Job
from loop.margins.heat import condensing_in_loop, inlet_rises, passed_before, water_rise
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
    pump = installed_pump(point.network)
    return PumpResult(
        name=pump.pump.curve.name,
        flow=point.flow,
        head=point.pump_head,
        power=point.power,
        shutoff_head=point.shutoff_head,
        start_head=start_head,
        npsh_available=npsh_available(point, point.network.water),
        npsh_required=float(pump.npsh_required_at(point.flow)[0]),
    )


def _condensers(job: Job, point: OperatingPoint) -> tuple[CondenserResult, ...]:
    network, water = point.network, point.network.water
    has_strainer = any(isinstance(part, Strainer) for part in network.parts)
    blocked = flows_when_blocked(point, _BLOCKED) if has_strainer and point.flow > 0 else None
    sea = job.water.temperature
    inlets = sea + inlet_rises(network, point.line_flow, sea)[0]
    results = []
    lines = [network.line_of[network.condenser_part(unit.name)] for unit in job.condenser]
    needs = [(line, unit.needed_flow) for line, unit in zip(lines, job.condenser, strict=True)]
    clean_at = (
        [math.nan] * len(needs)
        if blocked is None
        else shares_at_need(point, needs, _BLOCKED, blocked)
    )
    for unit, inlet, share in zip(job.condenser, inlets, clean_at, strict=True):
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
                temperature_rise=float(water_rise(unit.rejected_heat, flow, water)),
                condensing_temperature=float(condensing_in_loop(network, unit, flow, inlet)),
                flow_half_blocked=math.nan if blocked is None else float(blocked[_HALF, line]),
                clean_at=share,
            )
        )
    return tuple(results)


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
