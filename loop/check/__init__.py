"""Margins → findings → verdict."""

from loop.check.as_json import to_json
from loop.check.grouped import grouped
from loop.check.judge import check
from loop.check.result import CheckResult, CondenserResult, Finding, Level, PumpResult, Verdict

__all__ = [
    "CheckResult",
    "CondenserResult",
    "Finding",
    "Level",
    "PumpResult",
    "Verdict",
    "check",
    "grouped",
    "to_json",
]
