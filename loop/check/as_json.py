"""A check's result as plain tables, for other programs: SI and °C throughout."""

import math
from dataclasses import asdict
from typing import Any

from loop.check.result import CheckResult, CondenserResult, Finding, PumpResult, Verdict
from loop.hydraulics import Station
from loop.job import Inputs, inputs

UNITS = {
    "flow": "m3/s",
    "head": "m",
    "pressure": "Pa",
    "temperature": "degC",
    "velocity": "m/s",
    "power": "W",
    "length": "m",
}


class CheckTables(Inputs):
    """What ``loop check --json`` prints: SI and °C."""

    units: dict[str, str]
    verdict: Verdict
    pump: PumpResult
    condensers: list[CondenserResult]
    stations: list[Station]
    findings: list[Finding]
    cautions: list[str]


def to_json(result: CheckResult) -> dict[str, Any]:
    """The keys of `CheckTables`, as plain dicts, lists, texts and numbers; null for no number.

    A unit that trips, for want of water or in water too warm, has no rise and no condensing
    temperature that anyone could read.
    """
    return {
        **inputs(result.job),
        "units": dict(UNITS),
        "verdict": result.verdict,
        "pump": _plain(asdict(result.pump)),
        "condensers": [_unit(unit) for unit in result.condensers],
        "stations": [_plain(asdict(station)) for station in result.point.stations],
        "findings": [asdict(finding) for finding in result.findings],
        "cautions": list(result.cautions),
    }


def _unit(unit: CondenserResult) -> dict[str, Any]:
    table = _plain(asdict(unit))
    if not unit.runs_on:
        table |= {"temperature_rise": None, "condensing_temperature": None}
    return table


def _plain(table: dict[str, Any]) -> dict[str, Any]:
    """JSON has no NaN and no infinity: null says that there is no such number."""
    return {
        key: None if isinstance(value, float) and not math.isfinite(value) else value
        for key, value in table.items()
    }
