"""Quantities of the units library that a caller made → SI numbers, or text that is read as one."""

import math
from typing import Any

from loop.units.definitions import KINDS, Kind
from loop.units.number import UnitError, one_number
from loop.units.text import factors, parse
from loop.wrong import wrong

# The library's own names of the units that the program counts in.
_TARGETS: dict[Kind, str] = {
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
# How a text has those that it does not know, or that nobody writes, by the library's name.
_PLAIN: dict[Kind, str] = {"flow": "m^3/s", "pressure": "Pa", "temperature": "degC"}
_ANGLES = ("radian", "degree")
# A difference given on a scale that begins elsewhere, as "10 degF" is in a file.
_STEPS = {"degree_Celsius": "degC", "degree_Fahrenheit": "degF"}


def si(quantity: Any, kind: Kind) -> float:
    """SI number of a ``pint.Quantity`` from whatever registry.

    Raises UnitError where it is of another kind, or not one number.

    >>> import pint
    >>> si(pint.UnitRegistry().Quantity(18, "inch"), "length")
    0.4572
    """
    unit = str(getattr(quantity, "units", ""))
    try:
        if kind == "temperature_difference" and unit in _STEPS:
            return one_number(float(quantity.magnitude) * factors(_STEPS[unit], kind)[0])
        # To that library a degree of a handle is a share of one: here neither stands for the other.
        if kind in ("angle", "ratio") and (kind == "angle") != (unit in _ANGLES):
            raise UnitError
        return one_number(float(quantity.to(_TARGETS[kind]).magnitude))
    except Exception as error:  # the library's errors are of a dozen unrelated classes
        offers = KINDS[kind][1]
        raise UnitError(wrong("does-not-fit", text=str(quantity)[:40], offers=offers)) from error


def written(quantity: Any, kind: Kind) -> str:
    """Text that reads back to the same, in the caller's own unit where the trade has it.

    Raises UnitError as `si` does.

    >>> import pint
    >>> written(pint.UnitRegistry().Quantity(95.0, "degF"), "temperature")
    '95.0 °F'
    """
    value = si(quantity, kind)
    try:
        text = f"{quantity:~P}"
        if math.isclose(parse(text, kind), value, rel_tol=1e-12):
            return text
    except ValueError:
        pass
    return f"{value!r} {_PLAIN.get(kind, _TARGETS[kind])}"
