"""Text with a unit ⇄ SI number.

Inside the program every quantity is an SI float (temperatures in degrees Celsius). Text such as
``"1-1/4 in"`` or ``"240 gph"`` is parsed here once on input, and numbers become text here again on
output. The corresponding model fields are in `loop.units.fields` and `stated`.
"""

from loop.units.number import UnitError
from loop.units.shown import (
    System,
    bare,
    check_system,
    convert,
    decimals,
    label,
    linear_shown,
    show,
    system_of,
    unitless,
)
from loop.units.text import parse, parse_measured

__all__ = [
    "System",
    "UnitError",
    "bare",
    "check_system",
    "convert",
    "decimals",
    "label",
    "linear_shown",
    "parse",
    "parse_measured",
    "show",
    "system_of",
    "unitless",
]
