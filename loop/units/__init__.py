"""Text with a unit ⇄ SI number.

Inside the program every quantity is an SI float (temperatures in degrees Celsius); text such as
``"1-1/4 in"`` or ``"240 gph"`` is read here once, on the way in, and numbers become text here
again, on the way out.
"""

import importlib
from typing import TYPE_CHECKING, Any

from loop.units.number import UnitError
from loop.units.shown import (
    System,
    bare,
    convert,
    decimals,
    known_system,
    label,
    line_shown,
    show,
    system_of,
    unitless,
)
from loop.units.text import parse, parse_measured

if TYPE_CHECKING:
    from loop.units.fields import PLAIN_NUMBER as PLAIN_NUMBER
    from loop.units.fields import WHOLE_NUMBER as WHOLE_NUMBER
    from loop.units.fields import Along as Along
    from loop.units.fields import Angle as Angle
    from loop.units.fields import Area as Area
    from loop.units.fields import Bore as Bore
    from loop.units.fields import Flow as Flow
    from loop.units.fields import Frequency as Frequency
    from loop.units.fields import Height as Height
    from loop.units.fields import Length as Length
    from loop.units.fields import Limit as Limit
    from loop.units.fields import Offset as Offset
    from loop.units.fields import Open as Open
    from loop.units.fields import Power as Power
    from loop.units.fields import Quantity as Quantity
    from loop.units.fields import Rating as Rating
    from loop.units.fields import Ratio as Ratio
    from loop.units.fields import Rise as Rise
    from loop.units.fields import Roughness as Roughness
    from loop.units.fields import SeaTemperature as SeaTemperature
    from loop.units.fields import Share as Share
    from loop.units.fields import Speed as Speed
    from loop.units.fields import Turn as Turn
    from loop.units.fields import Voltage as Voltage

__all__ = [
    "System",
    "UnitError",
    "bare",
    "convert",
    "decimals",
    "known_system",
    "label",
    "line_shown",
    "parse",
    "parse_measured",
    "show",
    "system_of",
    "unitless",
]


def __getattr__(name: str) -> Any:
    """The field types, loaded with the validating library for those alone who ask for them."""
    return getattr(importlib.import_module("loop.units.fields"), name)
