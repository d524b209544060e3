"""Numbers in a fix, rounded to the side on which the fix still cures when applied as printed."""

import math

from loop.check.subject import Subject
from loop.units import convert, show
from loop.units.shown import decimals

# Share of the last digit that is rounding of a number read from text.
_NOISE = 1e-8
# Digits after the point with which two numbers must be told apart, at most.
_MOST_DIGITS = 4


def at_least(subject: Subject, value: float, quantity: str) -> str:
    """A number with its unit, no smaller than `value` in SI."""
    return _rounded(subject, value, quantity, up=True)


def at_most(subject: Subject, value: float, quantity: str) -> str:
    """A number with its unit, no greater than `value` in SI."""
    return _rounded(subject, value, quantity, up=False)


def apart(subject: Subject, here: float, there: float, quantity: str) -> tuple[str, str]:
    """Two numbers with as many digits as it takes to see that they differ."""
    first = _digits(subject, quantity)
    for digits in range(first, _MOST_DIGITS + 1):
        one, other = (show(x, quantity, subject.job.units, digits) for x in (here, there))
        if one != other:
            break
    return one, other


def _rounded(subject: Subject, value: float, quantity: str, up: bool) -> str:
    system = subject.job.units
    digits = _digits(subject, quantity)
    number = convert(value, quantity, system) * 10**digits
    if number == 0:
        return show(0.0, quantity, system, digits)
    whole = math.ceil(number - _NOISE) if up else math.floor(number + _NOISE)
    return show(whole * value / number, quantity, system, digits)


def _digits(subject: Subject, quantity: str) -> int:
    """As shown elsewhere, but heights to the millimetre where they are in centimetres."""
    shown = decimals(quantity, subject.job.units)
    return max(shown, 1) if quantity == "height" else shown
