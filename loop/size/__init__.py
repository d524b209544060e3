"""Choosing hose and pump, with the odds in view."""

from loop.margins.energy import Running, pump_draw, running, running_hours, usable_charge
from loop.size.as_json import to_json
from loop.size.asked import with_sizing
from loop.size.options import Choice
from loop.size.recommend import size
from loop.size.result import Change, Option, SizeResult, Studied, UnitOdds

__all__ = [
    "Change",
    "Choice",
    "Option",
    "Running",
    "SizeResult",
    "Studied",
    "UnitOdds",
    "pump_draw",
    "running",
    "running_hours",
    "size",
    "to_json",
    "usable_charge",
    "with_sizing",
]
