"""The number at the start of a quantity's text, as the trade writes it, and its unit.

Users on both sides of the Atlantic use a comma or a point for thousands or for decimals. If only
one reading is possible, it is used; an ambiguous number is refused, since an error by a factor of a
thousand is worse than a question. The card's script uses the same patterns and signs.
"""

import re

from loop.wrong import wrong

FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
SIGNS = {
    "−": "-", "–": "-", "\N{NO-BREAK SPACE}": " ", "\N{NARROW NO-BREAK SPACE}": " ", "⁄": "/"
}  # fmt: skip
_PLAIN_SIGNS = str.maketrans(SIGNS)
_DIGITS = r"\d[\d.,]*|[.,]\d+"
QUANTITY = re.compile(
    rf"(?P<sign>[+-]?)\s*(?:(?P<whole>\d+)(?:\s*-\s*|\s+))??"
    rf"(?:(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<number>{_DIGITS})(?P<power>e[+-]?\d+)?)"
    r"(?:\s*|-)(?P<unit>[^\d\s,.+-].*)?$",
    re.IGNORECASE,
)
# Maximum length of a quantity's text, and the range of any number on a boat other than 0.
_MAX_LENGTH, _MIN_NUMBER, _MAX_NUMBER = 100, 1e-30, 1e30
# Units that occur in thousands on a boat, so that a point before three digits may separate them.
THOUSANDS_UNITS = r"(k?btus?|w|watts?|gal\w*|l|lit\w*)(/hr?|\s+per\s+h\w*)?|gph|lph|btuh|mm"


class UnitError(ValueError):
    """Text that is not a quantity of the requested kind; the message says what would be."""


def rounded_si(value: float) -> float:
    """An SI number rounded to 15 digits, so that a quantity is equal whatever its unit.

    >>> 24 * 0.0254 == 2 * 0.3048, rounded_si(24 * 0.0254) == rounded_si(2 * 0.3048)
    (False, True)
    """
    return float(f"{value:.15g}")


def check_text_length(text: str) -> None:
    """Raise UnitError for text longer than any quantity."""
    if len(text) > _MAX_LENGTH:
        raise UnitError(wrong("text-too-long", count=len(text)))


def normalized(text: str) -> str:
    """Text with plain signs, and single-character fractions written out.

    Raises UnitError for text longer than any quantity.
    """
    check_text_length(text)
    clean = text.strip().translate(_PLAIN_SIGNS)
    for sign, fraction in FRACTIONS.items():
        if sign in clean:
            clean = re.sub(rf"(?<=\d)\s*{sign}", f"-{fraction}", clean).replace(sign, fraction)
    return clean


def number_and_unit(text: str) -> tuple[float, str]:
    """The number and unit text of a quantity, "" if it has no unit.

    Raises UnitError if it is not a number, could be two, or exceeds anything on a boat.

    >>> number_and_unit("1-1/4 in"), number_and_unit("1,5 bar"), number_and_unit("12,000 BTU/h")
    ((1.25, 'in'), (1.5, 'bar'), (12000.0, 'BTU/h'))
    """
    match = QUANTITY.match(normalized(text))
    if match is None:
        raise UnitError(wrong("not-a-number", text=text))
    unit = (match["unit"] or "").strip()
    if match["number"] is not None:
        if match["whole"] is not None:
            raise UnitError(wrong("two-numbers", text=text))
        value = float(
            _plain_digits(match["number"], unit, text, bool(match["power"]))
            + (match["power"] or "")
        )
    else:
        if int(match["bottom"]) == 0:
            raise UnitError(wrong("divides-by-zero", text=text))
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    if value > _MAX_NUMBER:
        raise UnitError(wrong("too-large", text=text))
    if value < _MIN_NUMBER:
        value = 0.0  # a zero with rounding error
    return (-value if match["sign"] == "-" else value), unit


def _plain_digits(digits: str, unit: str, text: str, power: bool) -> str:
    """Digits with a decimal point and without thousands separators, no exponent after them."""
    marks = [sign for sign in digits if sign in ".,"]
    if not marks or marks == ["."]:
        if power:
            return digits
        # A printed float does not end in 0 after three decimals.
        if re.fullmatch(r"[1-9]\d{0,2}\.\d\d0", digits) and _has_thousands(unit):
            raise _ambiguous(digits, unit, text)
        return digits
    separator, decimal = marks[0], marks[-1]
    groups = rf"\d{{1,3}}(?:\{separator}\d{{3}})+"
    if marks == [","]:
        if re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
            if unit and not _has_thousands(unit):
                raise _ambiguous(digits, unit, text)
            return digits.replace(",", "")
        return digits.replace(",", ".")
    if len({*marks}) == 1 and re.fullmatch(groups, digits):
        return digits.replace(separator, "")
    if marks.count(decimal) == 1 and re.fullmatch(rf"{groups}\{decimal}\d*", digits):
        return digits.replace(separator, "").replace(decimal, ".")
    raise UnitError(wrong("not-a-number-so", text=text))


def _has_thousands(unit: str) -> bool:
    return re.fullmatch(THOUSANDS_UNITS, unit.strip().rstrip(".").lower()) is not None


def _ambiguous(digits: str, unit: str, text: str) -> UnitError:
    """The two ways to write an ambiguous number, which differ by a factor of a thousand."""
    whole, decimals = re.split("[.,]", digits)
    fraction = decimals.rstrip("0")
    small = f"{whole}.{fraction}" if fraction else whole
    large = f"{whole}{decimals}"
    return UnitError(wrong("thousand-or-not", text=text, small=small, large=large, unit=unit))
