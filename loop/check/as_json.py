"""A check's result as plain tables, for other programs: SI and °C throughout."""

import math
from dataclasses import asdict
from typing import Any

from loop.check.result import CheckResult

UNITS = {
    "flow": "m3/s",
    "head": "m",
    "pressure": "Pa",
    "temperature": "degC",
    "velocity": "m/s",
    "power": "W",
    "length": "m",
}


def to_json(result: CheckResult) -> dict[str, Any]:
    """The contract's keys, as plain dicts, lists, texts and numbers; null where there is none."""
    return {
        "units": dict(UNITS),
        "verdict": result.verdict,
        "pump": _plain(asdict(result.pump)),
        "condensers": [_plain(asdict(unit)) for unit in result.condensers],
        "stations": [_plain(asdict(station)) for station in result.point.stations],
        "findings": [asdict(finding) for finding in result.findings],
        "cautions": list(result.cautions),
    }


def _plain(table: dict[str, Any]) -> dict[str, Any]:
    """JSON has no NaN and no infinity: null says that there is no such number."""
    return {
        key: None if isinstance(value, float) and not math.isfinite(value) else value
        for key, value in table.items()
    }
