"""SI values as a person writes them in a job file: text with a unit, in the job's system."""

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from loop.parts.hose import Via
from loop.pumps import PumpCurve, in_catalogue
from loop.units import System, parse, show
from loop.units.definitions import Kind
from loop.units.fields import Quantity, hints
from loop.units.number import rounded_si
from loop.units.stated import Stated
from loop.units.text import factors

# Units of a job file, by kind of quantity: US, then SI.
_UNITS: dict[Kind, tuple[str, str]] = {
    "length": ("in", "mm"),
    "area": ("in^2", "cm^2"),
    "volume": ("gal", "L"),
    "time": ("s", "s"),
    "flow": ("gal/h", "L/min"),
    "pressure": ("psi", "kPa"),
    "temperature": ("degF", "degC"),
    "temperature_difference": ("degF", "K"),
    "angle": ("deg", "deg"),
    "speed": ("knot", "knot"),
    "power": ("W", "W"),
    "ratio": ("%", "%"),
    "voltage": ("V", "V"),
    "current": ("A", "A"),
    "charge": ("Ah", "Ah"),
    "frequency": ("Hz", "Hz"),
}
# Lengths [m] from which feet or meters are easier to read than inches or millimeters.
_FEET_FROM = 1.5
# Lengths [m] up to which fractions of an inch are written as such, as the trade does for bores.
_FRACTIONS_TO = 0.0635
# Digits tried until the text reads back to the value.
_DIGITS = (4, 6, 8, 12, 15, 17)


def quantity_text(value: float, kind: Kind, system: System, unit: str = "") -> str:
    """Shortest text with a unit that reads back to the SI value.

    In `unit` if given, otherwise in the system's unit for this kind.

    >>> quantity_text(-0.3048, "length", "us"), quantity_text(0.01905, "length", "us")
    ('-12 in', '3/4 in')
    """
    if unit:
        return _shortest(value, kind, unit)
    unit = _UNITS[kind][system == "si"]
    if kind == "length" and system == "us" and 0 < value <= _FRACTIONS_TO:
        text = show(value, "bore", "us")
        if "/" in text and parse(text, kind) == rounded_si(value):
            return text
    if kind == "length" and abs(value) >= _FEET_FROM:
        unit = "ft" if system == "us" else "m"
    return _shortest(value, kind, unit)


def _shortest(value: float, kind: Kind, unit: str) -> str:
    """The number in this unit, with as many digits as it needs to read back."""
    scale, offset = factors(unit, kind)
    text = ""
    for digits in _DIGITS:
        number = f"{(value - offset) / scale:.{digits}g}"
        text = f"{number} {unit}"
        if "e" not in number and parse(text, kind) == rounded_si(value):
            break
    return text


def table_of_text(model: type[BaseModel], table: Mapping[str, Any], system: System) -> Any:
    """A table of a job file, with its SI numbers as text."""
    return {name: field_text(model, name, value, system) for name, value in table.items()}


def model_table(model: BaseModel, system: System) -> dict[str, Any]:
    """The job file table of this model: explicitly given values, and a part's kind."""
    given = {
        name: getattr(model, name)
        for name in type(model).model_fields
        if name in model.model_fields_set or name == "kind"
    }
    given = {name: value for name, value in given.items() if value is not None and value != ()}
    return {name: field_text(type(model), name, value, system) for name, value in given.items()}


def field_text(model: type[BaseModel], name: str, value: Any, system: System) -> Any:
    """One value of a model's field, with its SI numbers as text."""
    info = model.model_fields.get(name)
    if info is None:
        return value
    types = [*hints(info)]
    quantity = next((hint for hint in types if isinstance(hint, Quantity)), None)
    inner = next((h for h in types if isinstance(h, type) and issubclass(h, BaseModel)), None)
    return _value_text(value, quantity, inner, system)


def _value_text(
    value: Any, quantity: Quantity | None, inner: type[BaseModel] | None, system: System
) -> Any:
    if isinstance(value, list | tuple):
        return [_value_text(item, quantity, inner, system) for item in value]
    if isinstance(value, PumpCurve) and in_catalogue(value):
        return value.name
    if isinstance(value, BaseModel):
        table = model_table(value, system)
        # A point of a hose with only a height is written as that height.
        return table["height"] if isinstance(value, Via) and len(table) == 1 else table
    if isinstance(value, Mapping):
        if inner:
            return table_of_text(inner, value, system)
        kind = quantity.kind if quantity else None
        return {
            quantity_text(key, kind, system) if kind and isinstance(key, float) else key: item
            for key, item in value.items()
        }
    if isinstance(value, Stated):
        return f"{_half_text(value, system, 0)} at {_half_text(value, system, 1)}"
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    if quantity is not None:
        btu = system == "us" and quantity.suggested[:1] == ("BTU/h",)
        return quantity_text(float(value), quantity.kind, system, "BTU/h" if btu else "")
    # A bare number for a point of a hose is its height.
    return field_text(inner, "height", value, system) if inner else value


def _half_text(value: Stated, system: System, half: int) -> str:
    """One of the two quantities of a stated value."""
    number, kind = list(zip(vars(value).values(), value.KINDS, strict=True))[half]
    return quantity_text(number, kind, system)
