"""Text with a unit → SI number: the only module that imports the units library."""

import math
import re
from functools import cache
from typing import Any

import pint

from loop.units.definitions import DEFINITIONS, KINDS, Kind

_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(
    rf"(?P<sign>[+-]?)\s*(?:(?P<whole>\d+)(?:\s*-\s*|\s+))??"
    rf"(?:(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<number>{_NUMBER}))\s*(?P<unit>[^\d\s,.+-].*)?$"
)
_ONE_UNIT = r"[a-z][a-z0-9]*(?:\s*\^\s*[1-4])?"
# Names and small powers only: the library would reckon out a power of a power of a power.
_UNIT = re.compile(rf"{_ONE_UNIT}(?:\s*[*/ ]\s*{_ONE_UNIT})*")
_FEET_INCHES = re.compile(r"(?P<sign>[+-]?)\s*(?P<feet>\d+)\s*(?:ft|')\s*(?P<inches>\d.*)$")
# More characters than any quantity has.
_LONGEST = 100


class UnitError(ValueError):
    """Text that is not a quantity of the kind that was asked for; the text says what would be."""


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(None, on_redefinition="raise")
    registry.load_definitions(DEFINITIONS.strip().splitlines())
    return registry


def _plain(unit: str) -> str:
    """The unit's spelling as the definitions have it."""
    text = unit.strip().lower().replace("µ", "u")
    for old, new in (("″", "in"), ('"', "in"), ("''", "in"), ("′", "ft"), ("'", "ft")):
        text = text.replace(old, new)
    text = text.replace("²", "^2").replace("³", "^3").replace("·", "*").replace("%", "percent")
    text = re.sub(r"°\s*([cf])\b", r"deg\1", text).replace("°", "deg")
    text = re.sub(r"\bdeg(?:rees?)?\s+([cf])\b", r"deg\1", text)
    text = re.sub(r"\bsq\.?\s*(\w+)", r"\1^2", text)
    text = re.sub(r"\bcu\.?\s*(\w+)", r"\1^3", text)
    text = re.sub(r"\bus\s+gal", "gal", text)
    text = re.sub(r"\b([mc]?m|in|ft)([23])\b", r"\1^\2", text)
    text = re.sub(r"\ba\s*[*.]?\s*h\b", "ah", text).replace(" per ", "/").replace("km/h", "kmh")
    return text.rstrip(".")


@cache
def factors(unit: str, kind: str) -> tuple[float, float]:
    """Scale and offset that take a number in `unit` to the SI unit of `kind`."""
    target, offers = KINDS[kind]
    plain = _plain(unit).replace("**", "^")
    try:
        if not _UNIT.fullmatch(plain):
            raise UnitError
        registry = _registry()
        if kind == "temperature_difference":
            plain = {"degc": "kelvin", "c": "kelvin", "degf": "5/9*kelvin", "f": "5/9*kelvin"}.get(
                plain, plain
            )
            one = registry.parse_expression(plain)
            return float(one.to(target).magnitude), 0.0
        parsed = registry.parse_units(plain.replace("^", "**"))
        zero = float(registry.Quantity(0.0, parsed).to(target).magnitude)
        one_ = float(registry.Quantity(1.0, parsed).to(target).magnitude)
    except Exception as error:  # pint raises a dozen unrelated classes, down to tokenizer errors
        raise UnitError(f"unit {unit!r} does not fit here; units that fit: {offers}") from error
    return one_ - zero, zero


def _split(text: str) -> tuple[float, str]:
    """The number and the unit's text of one quantity."""
    clean = text.strip().replace("−", "-").replace("–", "-").replace("\N{NO-BREAK SPACE}", " ")
    for sign, fraction in _FRACTIONS.items():
        clean = re.sub(rf"(?<=\d)\s*{sign}", f"-{fraction}", clean).replace(sign, fraction)
    clean = re.sub(r"(?<=\d),(?=\d{3}(?!\d))", "", clean)
    match = _QUANTITY.match(clean)
    if match is None:
        raise UnitError(f"{text!r} is not a number with a unit")
    if match["number"] is not None:
        if match["whole"] is not None:
            raise UnitError(f"{text!r} holds two numbers")
        value = float(match["number"])
    else:
        if int(match["bottom"]) == 0:
            raise UnitError(f"{text!r} divides by zero")
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    return (-value if match["sign"] == "-" else value), (match["unit"] or "").strip()


def _bounded(text: str) -> None:
    if len(text) > _LONGEST:
        raise UnitError(f"text of {len(text)} characters is not a quantity")


def unit_of(text: str) -> str:
    """The unit in which a quantity is written, as it is written; "" for feet and inches."""
    try:
        return _split(text)[1]
    except UnitError:
        return ""


def parse(text: str, kind: Kind) -> float:
    """SI value of a text with its unit.

    Parameters
    ----------
    text : str
        A number, a fraction or a mixed fraction, and a unit: ``"3/4 in"``, ``"1-1/4 in"``,
        ``"240 gph"``, ``"85 °F"``, ``"5' 6\\""``.
    kind : str
        The kind of quantity that is wanted, such as ``"length"``.

    Returns
    -------
    float
        The value in SI units; temperatures in degrees Celsius, angles in radians, ratios as a
        share of one, charge in ampere-hours.

    Raises
    ------
    UnitError
        Not a number, no unit, or a unit of another kind; the text says which units fit.

    Examples
    --------
    >>> round(parse("1-1/4 in", "length"), 5)
    0.03175
    >>> round(parse("85 degF", "temperature"), 3)
    29.444
    """
    offers = KINDS[kind][1]
    _bounded(text)
    feet = _FEET_INCHES.match(text.strip().replace("−", "-")) if kind == "length" else None
    if feet is not None:
        whole = int(feet["feet"]) * parse("1 ft", "length") + parse(feet["inches"], "length")
        return -whole if feet["sign"] == "-" else whole
    try:
        value, unit = _split(text)
    except UnitError as error:
        raise UnitError(f"{error}; units that fit: {offers}") from None
    if not unit:
        raise UnitError(f"{text!r} has no unit; units that fit: {offers}")
    scale, offset = factors(unit, kind)
    result = value * scale + offset
    if not math.isfinite(result):
        raise UnitError(f"{text!r} is not a finite number")
    return result


def parse_measured(text: str, kind: Kind) -> tuple[float, float | None]:
    """SI value and uncertainty of a reading such as ``"150 gal/h ± 10"``.

    Returns the value and the half-width after ``±`` (also ``+-`` or ``+/-``), in SI units, or
    None where the text gives none. The half-width takes the value's unit unless it has its own.

    Raises UnitError as `parse` does, and for a half-width that is not a number above zero.

    >>> parse_measured("20 m ± 0.5", "length")
    (20.0, 0.5)
    """
    _bounded(text)
    parts = re.split(r"±|\+\s*/?\s*[-−]", text)
    if len(parts) == 1:
        return parse(text, kind), None
    if len(parts) > 2:
        raise UnitError(f"{text!r} has more than one ±")
    head, tail = parts
    width, width_unit = _split(tail)
    own_unit = _split(head)[1]
    value = parse(head if own_unit else f"{head} {width_unit}", kind)
    scale, _ = factors(width_unit or own_unit, kind)
    if not 0 < width * scale < math.inf:
        raise UnitError(f"{text!r}: the half-width after ± must be a number above zero")
    return value, width * scale
