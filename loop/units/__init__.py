"""Text with a unit ⇄ SI number.

Inside the program every quantity is an SI float (temperatures in degrees Celsius); text such as
``"1-1/4 in"`` or ``"240 gph"`` is read here once, on the way in, and numbers become text here
again, on the way out.
"""

from loop.units.fields import (
    PLAIN_NUMBER,
    WHOLE_NUMBER,
    Angle,
    Area,
    Bore,
    Flow,
    Frequency,
    Height,
    Length,
    Limit,
    Offset,
    Open,
    Power,
    Quantity,
    Rating,
    Ratio,
    Rise,
    Roughness,
    Share,
    Speed,
    Temperature,
    TemperatureDifference,
    Turn,
    Voltage,
)
from loop.units.shown import System, convert, decimals, label, show
from loop.units.text import UnitError, parse, parse_measured

__all__ = [
    "PLAIN_NUMBER",
    "WHOLE_NUMBER",
    "Angle",
    "Area",
    "Bore",
    "Flow",
    "Frequency",
    "Height",
    "Length",
    "Limit",
    "Offset",
    "Open",
    "Power",
    "Quantity",
    "Rating",
    "Ratio",
    "Rise",
    "Roughness",
    "Share",
    "Speed",
    "System",
    "Temperature",
    "TemperatureDifference",
    "Turn",
    "UnitError",
    "Voltage",
    "convert",
    "decimals",
    "label",
    "parse",
    "parse_measured",
    "show",
]
