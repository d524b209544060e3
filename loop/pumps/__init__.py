"""Pump curves: the pump file, its checks, and the catalogue that ships with the program."""

from loop.catalogue import catalogue, catalogue_name
from loop.pumps.curve import PumpCurve
from loop.pumps.files import (
    UnknownPumpError,
    in_catalogue,
    load_pump,
    pump_by_reference,
    pump_problems,
    read_pump,
)
from loop.pumps.nameplate import Nameplate, head_of
from loop.pumps.points import Curve, Series

__all__ = [
    "Curve",
    "Nameplate",
    "PumpCurve",
    "Series",
    "UnknownPumpError",
    "catalogue",
    "catalogue_name",
    "head_of",
    "in_catalogue",
    "load_pump",
    "pump_by_reference",
    "pump_problems",
    "read_pump",
]
