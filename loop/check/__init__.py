"""Margins → findings → verdict."""

from loop.check.as_json import to_json
from loop.check.fixed import Change, Fixed, as_fixed
from loop.check.judge import check
from loop.check.result import CheckResult, CondenserResult, PumpResult, Verdict
from loop.words import Finding, Level

__all__ = [
    "Change",
    "CheckResult",
    "CondenserResult",
    "Finding",
    "Fixed",
    "Level",
    "PumpResult",
    "Verdict",
    "as_fixed",
    "check",
    "to_json",
]
