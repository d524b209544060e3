"""Quantity objects of the units library, as SI numbers or as text."""

import math
from typing import Any

from loop.units.definitions import KINDS, Kind
from loop.units.number import UnitError, rounded_si
from loop.units.text import factors, parse
from loop.wrong import wrong

# The library's names of the program's own units.
_SI_UNITS: dict[Kind, str] = {
    "length": "meter",
    "area": "meter**2",
    "volume": "meter**3",
    "time": "second",
    "flow": "meter**3/second",
    "pressure": "pascal",
    "temperature": "degree_Celsius",
    "temperature_difference": "kelvin",
    "angle": "radian",
    "speed": "meter/second",
    "power": "watt",
    "ratio": "dimensionless",
    "voltage": "volt",
    "current": "ampere",
    "charge": "ampere*hour",
    "frequency": "hertz",
}
# Spelling in text of units whose library name is unknown here or unusual.
_SPELLINGS: dict[Kind, str] = {"flow": "m^3/s", "pressure": "Pa", "temperature": "degC"}
_ANGLES = ("radian", "degree")
# A difference stated on a scale with an offset, as "10 degF" is in a file.
_DIFFERENCES = {"degree_Celsius": "degC", "degree_Fahrenheit": "degF"}


def si_number(quantity: Any, kind: Kind) -> float:
    """SI number of a ``pint.Quantity`` from any registry.

    Raises UnitError if it is of another kind, or not a single number.

    >>> import pint
    >>> si_number(pint.UnitRegistry().Quantity(18, "inch"), "length")
    0.4572
    """
    unit = str(getattr(quantity, "units", ""))
    try:
        if kind == "temperature_difference" and unit in _DIFFERENCES:
            return rounded_si(float(quantity.magnitude) * factors(_DIFFERENCES[unit], kind)[0])
        # The library treats degrees as a plain ratio; here angle and ratio are not interchangeable.
        if kind in ("angle", "ratio") and (kind == "angle") != (unit in _ANGLES):
            raise UnitError
        return rounded_si(float(quantity.to(_SI_UNITS[kind]).magnitude))
    except Exception as error:  # the library's errors are of a dozen unrelated classes
        offers = KINDS[kind][1]
        raise UnitError(wrong("does-not-fit", text=str(quantity)[:40], offers=offers)) from error


def quantity_text(quantity: Any, kind: Kind) -> str:
    """Text that parses to the same value, in the caller's own unit if it is known here.

    Raises UnitError like `si_number`.

    >>> import pint
    >>> quantity_text(pint.UnitRegistry().Quantity(95.0, "degF"), "temperature")
    '95.0 °F'
    """
    value = si_number(quantity, kind)
    try:
        text = f"{quantity:~P}"
        if math.isclose(parse(text, kind), value, rel_tol=1e-12):
            return text
    except ValueError:
        pass
    return f"{value!r} {_SPELLINGS.get(kind, _SI_UNITS[kind])}"
