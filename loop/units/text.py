"""Text with a unit → SI number: the only module that imports the units library."""

import math
import re
from functools import cache
from typing import TYPE_CHECKING, Any

from loop.units.definitions import DEFINITIONS, KINDS, Kind
from loop.units.factors import known_factor
from loop.units.number import UnitError, check_text_length, normalized, number_and_unit, rounded_si
from loop.units.spelling import plain, without_signs
from loop.wrong import wrong

if TYPE_CHECKING:
    import pint

_ONE_UNIT = r"[a-z][a-z0-9]*(?:\s*\^\s*[1-4])?"
# Names and small powers only: the library would evaluate a power of a power of a power.
_UNIT = re.compile(rf"{_ONE_UNIT}(?:\s*[*/ ]\s*{_ONE_UNIT})*")
_FEET = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<feet>\d+)\s*(?:ft|feet|foot|['′’](?!['′’]))\.?\s*-?\s*(?P<rest>\d.*)$"
)
_SECOND_QUANTITY = re.compile(r"(?P<unit>[A-Za-z]+)\s*(?P<rest>\d[\d.,]*\s*[A-Za-z]+)")
_NOMINAL = re.compile(r"DN\s*(?P<millimetres>\d{1,3})$", re.IGNORECASE)
CLOCK = re.compile(r"(?:(?P<h>\d{1,3}):)?(?P<min>\d{1,3}):(?P<s>\d{2}(?:[.,]\d+)?)$")
DURATION = re.compile(
    r"(?:(?P<h>\d{1,3})\s*(?:h|hrs?|hours?)\s*)?(?:(?P<min>\d{1,4})\s*(?:m|mins?|minutes?|['′’])\s*)?"
    r"(?:(?P<s>\d{1,4}(?:[.,]\d+)?)\s*(?:s|secs?|seconds?|[\"″”]|'')?)?$",
    re.IGNORECASE,
)


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(None, on_redefinition="raise")
    registry.load_definitions(DEFINITIONS.strip().splitlines())
    return registry


@cache
def factors(unit: str, kind: str) -> tuple[float, float]:
    """Scale and offset that convert a number in `unit` to the SI unit of `kind`."""
    known = known_factor(without_signs(unit), kind)
    if known is not None:  # mostly; and the rules of spelling are many
        return known
    spelled = plain(unit, kind)
    known = known_factor(spelled, kind)
    return computed_factors(unit, spelled, kind) if known is None else known


def computed_factors(unit: str, spelled: str, kind: str) -> tuple[float, float]:
    """The units library's factors of a unit in plain spelling; `unit` is its original spelling.

    Raises UnitError if it is not a unit, or not one of this kind.
    """
    target, offers, _ = KINDS[kind]
    try:
        if not _UNIT.fullmatch(spelled):
            raise UnitError
        registry = _registry()
        if kind == "temperature_difference":
            # As a difference, a degree of a scale with an offset is a step.
            steps = {"degc": "kelvin", "c": "kelvin", "celsius": "kelvin"}
            steps |= dict.fromkeys(("degf", "f", "fahrenheit"), "5/9*kelvin")
            one = registry.parse_expression(steps.get(spelled, spelled))
            return float(one.to(target).magnitude), 0.0
        parsed = registry.parse_units(spelled.replace("^", "**"))
        zero = float(registry.Quantity(0.0, parsed).to(target).magnitude)
        one_unit = float(registry.Quantity(1.0, parsed).to(target).magnitude)
    except Exception as error:  # pint raises a dozen unrelated classes, down to tokenizer errors
        raise UnitError(wrong("unit-does-not-fit", unit=unit, offers=offers)) from error
    return one_unit - zero, zero


def unit_of(text: str) -> str:
    """The unit of a quantity as written; "" for feet and inches."""
    if _FEET.match(normalized(text)):
        return ""
    try:
        return number_and_unit(text)[1]
    except UnitError:
        return ""


def _is_bare(text: str) -> bool:
    """Whether the text is a number without a unit, unlike feet and inches or "2:10"."""
    try:
        return not number_and_unit(text)[1]
    except UnitError:
        return False


def parse(text: str, kind: Kind) -> float:
    """SI value of a text with a unit.

    Parameters
    ----------
    text : str
        A number, a fraction or a mixed fraction, and a unit: ``"3/4 in"``, ``"1-1/4 in"``,
        ``"240 gph"``, ``"85 °F"``, ``"1,5 bar"``; lengths also as ``"5' 6\\""`` and ``"DN20"``
        (nominal: 20 mm), times as ``"2:10"`` and ``"1 min 10 s"``.
    kind : str
        Expected kind of quantity, such as ``"length"``.

    Returns
    -------
    float
        The value in SI units, to 15 digits, so that "24 in" is "2 ft"; temperatures in degrees
        Celsius, angles in radians, ratios as a share of one, charge in ampere-hours.

    Raises
    ------
    UnitError
        Not a number, no unit, a unit of another kind, or a number that may also be read as a
        thousand times larger; the message says what would be right.

    Examples
    --------
    >>> round(parse("1-1/4 in", "length"), 5)
    0.03175
    >>> round(parse("85 degF", "temperature"), 3)
    29.444
    """
    offers = KINDS[kind][1]
    other_form = {"length": _feet_or_nominal, "time": _clock_or_duration}.get(kind)
    found = other_form(text) if other_form else None
    if found is not None:
        return rounded_si(found)
    try:
        value, unit = number_and_unit(text)
    except UnitError as error:
        raise UnitError(wrong("with-offers", problem=error, offers=offers)) from None
    if not unit:
        raise UnitError(wrong("no-unit", text=text, offers=offers))
    _refuse_sequence(value, unit, text, kind)
    scale, offset = factors(unit, kind)
    result = value * scale + offset
    if not math.isfinite(result):
        raise UnitError(wrong("not-finite", text=text))
    return rounded_si(result)


def _refuse_sequence(value: float, unit: str, text: str, kind: Kind) -> None:
    """Raise UnitError, with their sum, for two quantities in sequence: 1 m 20 cm."""
    after = _SECOND_QUANTITY.fullmatch(unit)
    if after is None:
        return
    try:
        (scale, _), rest = factors(after["unit"], kind), parse(after["rest"], kind)
    except UnitError:
        return
    offer = f"{value + math.copysign(rest / scale, value):.6g} {after['unit']}"
    raise UnitError(wrong("two-quantities", text=text, offer=offer))


def _feet_or_nominal(text: str) -> float | None:
    """Feet and inches, or a nominal diameter; None for any other text."""
    clean = normalized(text)
    nominal = _NOMINAL.match(clean)
    if nominal is not None:
        return int(nominal["millimetres"]) / 1000
    feet = _FEET.match(clean)
    if feet is None:
        return None
    inches, unit = number_and_unit(feet["rest"])
    if plain(unit, "length") not in ("in", "inch", "inches"):
        raise UnitError(wrong("feet-and-inches", text=text))
    total = int(feet["feet"]) * factors("ft", "length")[0] + inches * factors("in", "length")[0]
    return -total if feet["sign"] == "-" else total


def _clock_or_duration(text: str) -> float | None:
    """Minutes and seconds, as on a clock or in sequence; None for any other text."""
    clean = normalized(text)
    clock = CLOCK.match(clean)
    match = clock or DURATION.match(clean)
    given = {} if match is None else {k: v for k, v in match.groupdict().items() if v is not None}
    if match is None or len(given) < 2:
        return None
    hours, minutes, seconds = (
        float(given.get(k, "0").replace(",", ".")) for k in ("h", "min", "s")
    )
    if seconds >= 60 or ("h" in given and minutes >= 60):
        raise UnitError(wrong("minutes-and-seconds", text=text))
    return hours * 3600 + minutes * 60 + seconds


def parse_measured(text: str, kind: Kind) -> tuple[float, float | None]:
    """SI value and uncertainty of a reading such as ``"150 gal/h ± 10"``.

    Returns the value and the half-width after ``±`` (also ``+-`` or ``+/-``) in SI units, or None
    if the text gives none. The half-width takes the value's unit unless it has its own.

    Raises UnitError like `parse`, and for a half-width that is not a number above zero.

    >>> parse_measured("20 m ± 0.5", "length")
    (20.0, 0.5)
    """
    check_text_length(text)
    parts = re.split(r"±|\+\s*/?\s*[-−]", text)
    if len(parts) == 1:
        return parse(text, kind), None
    if len(parts) > 2:
        raise UnitError(wrong("several-half-widths", text=text))
    head, tail = parts
    try:
        width, width_unit = number_and_unit(tail)
    except UnitError:
        width, width_unit = math.nan, ""
    own_unit = unit_of(head)
    value = parse(f"{head} {width_unit}" if _is_bare(head) else head, kind)
    scale, _ = factors(width_unit or own_unit, kind)
    if not 0 < width * scale < math.inf:
        raise UnitError(wrong("half-width", text=text))
    return value, width * scale
