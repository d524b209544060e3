"""Numbers for people: rounded to one side in instructions, distinguishable where compared."""

import math
from collections.abc import Callable

from loop.units import System, convert, show
from loop.units.shown import MINUS, decimals

# Rounding error of a number read from text, as a share of its last digit.
_NOISE = 1e-8
# Most decimals shown.
_MOST_DIGITS = 4
# Significant digits of a rounded number [SI] that are free of arithmetic noise.
_CLEAN = 12
# Steps to which a part is mounted or a hose is run: half inches, whole inches from 3 ft on; and of
# a hole in the hull [m].
_HALVES = 2.0
_WHOLE: dict[System, float] = {"us": 0.0254, "si": 0.01}
# Largest relative rounding of a small number: 2 gal/h is not rounded to a whole number. Nobody sees
# less than a hundredth of a basket.
_COARSE, _COARSE_RATIO = 0.05, 1.0
# Height [m] that counts as zero, and the text for one too small to show.
_NONE, _LESS = 1e-6, "less than {height}"
# Quantities set by a tape or a meter: `exact` shows them without ".0".
_PLAIN = ("height", "voltage")
# Quantities measured with a tape, which a sentence gives without zeros after the point.
TAPED = ("height", "length")


# Inches per foot, and the inches from which feet and inches read better: common practice.
_FOOT, _TALL = 12, 36
_TALL_METRES = 0.0254 * _TALL


def spoken(value: float, quantity: str, system: System, least: int | None = None) -> str:
    """A number for a sentence: heights of 3 ft and more in feet and inches.

    Heights and lengths have no zeros after the point; in tables and on axes they do, and stay in
    inches. `least`: decimals, of the inches.

    >>> spoken(2.0, "height", "us"), spoken(0.9144, "height", "us"), spoken(0.5, "height", "us")
    ('6 ft 6.7 in', '3 ft', '19.7 in')
    >>> spoken(-0.1524, "height", "us"), [spoken(0.9144, it, "us") for it in ("length", "head")]
    ('−6 in', ['3 ft', '3.0 ft'])
    """
    if quantity not in TAPED or not math.isfinite(value):
        return show(value, quantity, system, least)
    if quantity != "height" or system != "us":
        return trimmed(show(value, quantity, system, least))
    places = decimals(quantity, system) if least is None else least
    inches = round(abs(convert(value, quantity, system)), places)
    if inches < _TALL:
        return trimmed(show(value, quantity, system, least))
    feet, rest = divmod(inches, _FOOT)
    sign = MINUS if value < 0 else ""
    shown = f" {trimmed(f'{rest:.{places}f} in')}" if round(rest, places) else ""
    return f"{sign}{feet:,.0f} ft{shown}"


def trimmed(shown: str) -> str:
    """A number with its unit, without zeros after the point."""
    number, _, unit = shown.partition(" ")
    return f"{number.rstrip('0').rstrip('.')} {unit}" if "." in number else shown


def said(value: float, quantity: str, system: System) -> str:
    """A number for a sentence; a height that would show as zero says how small it is.

    >>> said(0.0004, "height", "us"), said(0.0, "height", "us")
    ('less than 0.1 in', '0 in')
    """
    text, least = spoken(value, quantity, system), 10.0 ** -decimals(quantity, system)
    if quantity != "height" or value < _NONE or text != spoken(0.0, quantity, system):
        return text
    return _LESS.format(height=show(least / convert(1.0, quantity, system), quantity, system))


def round_up(value: float, quantity: str, system: System) -> float:
    """The least number [SI] not below `value` that is round in the unit shown."""
    return _rounded(value, quantity, system, math.ceil)


def round_down(value: float, quantity: str, system: System) -> float:
    """The greatest number [SI] not above `value` that is round in the unit shown."""
    return _rounded(value, quantity, system, math.floor)


def nearest(value: float, quantity: str, system: System) -> float:
    """The nearest number [SI] that is round in the unit shown."""
    return _rounded(value, quantity, system, round)


def digits(value: float, quantity: str, system: System) -> int:
    """Decimals of a rounded number: more for small ones; heights to a tenth of an inch or a mm."""
    shown = decimals(quantity, system)
    if quantity == "height":
        return max(shown, 1)
    least = shown
    number = abs(convert(value, quantity, system))
    coarse = _COARSE_RATIO if quantity == "ratio" else _COARSE
    while least < _MOST_DIGITS and 0 < number * coarse < (1 - _NOISE) * 10.0**-least:
        least += 1
    return least


def exact(value: float, quantity: str, system: System) -> str:
    """A number that is already round, with all of its digits."""
    if quantity == "bore":
        return show(value, quantity, system)
    number = convert(value, quantity, system)
    shown = 0 if quantity in _PLAIN else decimals(quantity, system)
    for least in range(shown, _MOST_DIGITS + 1):
        if abs(number - round(number, least)) <= 1e-6 * max(1.0, abs(number)):
            break
    return spoken(value, quantity, system, least)


def apart(here: float, there: float, quantity: str, system: System) -> tuple[str, str]:
    """Two numbers with enough digits to show that they differ."""
    tall = quantity == "height" and system == "us" and min(abs(here), abs(there)) >= _TALL_METRES
    first = 0 if tall else max(decimals(quantity, system), 1 if quantity == "height" else 0)
    for least in range(first, _MOST_DIGITS + 1):
        one, other = (spoken(x, quantity, system, least) for x in (here, there))
        if one != other:
            break
    return one, other


def significant(value: float, quantity: str, system: System) -> str:
    """A small number to its first significant digit, at most nine decimals."""
    number = abs(convert(value, quantity, system))
    needed = 0 if number == 0 else math.ceil(-math.log10(number))
    return show(value, quantity, system, max(decimals(quantity, system), min(needed, 9)))


def whole_up(height: float, system: System) -> float:
    """The least height [m], in whole inches or centimeters, not below `height`."""
    return _clean(math.ceil(height / _WHOLE[system] - _NOISE) * _WHOLE[system])


def whole_down(height: float, system: System) -> float:
    """The greatest height [m], in whole inches or centimeters, not above `height`."""
    return _clean(math.floor(height / _WHOLE[system] + _NOISE) * _WHOLE[system])


def _clean(value: float) -> float:
    """The value without noise in its last digits, so that equal numbers compare equal."""
    return float(f"{value:.{_CLEAN}g}")


def _rounded(value: float, quantity: str, system: System, whole: Callable[[float], int]) -> float:
    scale = 10.0 ** digits(value, quantity, system)
    if quantity == "height" and system == "us":
        scale = 1.0 if abs(value) >= _TALL_METRES else _HALVES
    number = convert(value, quantity, system) * scale
    nudge = -_NOISE if whole is math.ceil else _NOISE if whole is math.floor else 0.0
    rounded = whole(number + nudge)
    # One of the unit in SI without its offset, so that temperatures come out right too.
    one = convert(1.0, quantity, system) - convert(0.0, quantity, system)
    return _clean(value + (rounded - number) / scale / one)
