"""Choosing hose and pump, with the odds in view."""

from loop.margins.battery import Running, pump_draw, running, running_hours, usable_charge
from loop.size.as_json import to_json
from loop.size.asked import with_sizing
from loop.size.fitted import edits
from loop.size.limits import Reach
from loop.size.options import Choice
from loop.size.recommend import size
from loop.size.result import Against, Change, Option, SizeResult, Studied, UnitOdds
from loop.size.rules import Reason

__all__ = [
    "Against",
    "Change",
    "Choice",
    "Option",
    "Reach",
    "Reason",
    "Running",
    "SizeResult",
    "Studied",
    "UnitOdds",
    "edits",
    "pump_draw",
    "running",
    "running_hours",
    "size",
    "to_json",
    "usable_charge",
    "with_sizing",
]
