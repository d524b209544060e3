"""Margins → findings → verdict."""

from loop.check.as_json import to_json
from loop.check.judge import check
from loop.check.result import CheckResult, CondenserResult, PumpResult, Verdict
from loop.words import Finding, Level

__all__ = [
    "CheckResult",
    "CondenserResult",
    "Finding",
    "Level",
    "PumpResult",
    "Verdict",
    "check",
    "to_json",
]
