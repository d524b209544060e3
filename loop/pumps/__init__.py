"""Pump curves: the file that states one, its checks, and the catalogue that ships with us."""

from loop.pumps.catalogue import (
    UnknownPumpError,
    catalogue,
    catalogue_name,
    load_pump,
    pump_by_reference,
    pump_problems,
    read_pump,
)
from loop.pumps.curve import PumpCurve
from loop.pumps.nameplate import Nameplate, Points, head_of
from loop.pumps.points import Curve, Series

__all__ = [
    "Curve",
    "Nameplate",
    "Points",
    "PumpCurve",
    "Series",
    "UnknownPumpError",
    "catalogue",
    "catalogue_name",
    "head_of",
    "load_pump",
    "pump_by_reference",
    "pump_problems",
    "read_pump",
]
