"""Text with a unit ⇄ SI number.

Inside the program every quantity is an SI float (temperatures in degrees Celsius); text such as
``"1-1/4 in"`` or ``"240 gph"`` is read here once, on the way in, and numbers become text here
again, on the way out. The fields of models that do so are in `loop.units.fields` and `stated`.
"""

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
