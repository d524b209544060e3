"""Quantities as people type them, and names as people give them."""

import random

from loop.plain_text import one_line

NAMES = (
    "saloon", "Saloon", "fwd", "aft cabin", "VIP", "pilothouse", "crew 1", "crew 2", "galley",
    "A / B", " / ", "header", "pump", "hose 1", "part[3]", "part[9].branch[2]", "None", "nan", "-1",
    "0", "true", "{0}", "{name}", "%s", "%(x)d", "$x^2$", "$", "\\frac{1}{2}", "<b>bold</b>",
    "</svg>", "&amp;", "&", "it's", 'the "big" one', "[red]x[/red]", ":boom:", "a\tb", "a\nb",
    "a\\nb", "Bjørn", "Ψυγείο", "кубрик", "船室", "キャビン", "חדר", "مقصورة", "می\u200cشود", "é",
    "🚤", "👩\u200d🔧", "ﬁ", "Å", "İ", "ß", "\u00a0", "\u200b", "W" * 60, "i" * 60, "x" * 59,
    "long name of a cabin " * 2 + "no. 17", ".", "..", "../..", "C:\\boat", "a,b;c", "#1", "= 3",
    "'", '"', "`", "~", "|", "__", "a.b.c",
)  # fmt: skip

# The widest bore [m] that is read in feet.
_IN_FEET = 0.05

# Spellings of each unit, and what one of them is in SI.
_UNITS: dict[str, tuple[tuple[str, float], ...]] = {
    "length": (
        ("m", 1), ("mm", 1e-3), ("cm", 0.01), ("in", 0.0254), ("ft", 0.3048), ("inches", 0.0254),
        ("feet", 0.3048), ('"', 0.0254), ("'", 0.3048), ("yd", 0.9144), (" metres", 1),
    ),
    "flow": (
        ("L/min", 1e-3 / 60), ("gal/h", 3.785411784e-3 / 3600), ("gph", 3.785411784e-3 / 3600),
        ("gpm", 3.785411784e-3 / 60), ("m^3/h", 1 / 3600), ("lph", 1e-3 / 3600), ("m3/h", 1 / 3600),
    ),
    "pressure": (
        ("psi", 6894.757), ("kPa", 1e3), ("bar", 1e5), ("mbar", 100), ("inHg", 3386.389),
        ("ft", 2989.0), ("mH2O", 9806.65), ("Pa", 1),
    ),
    "power": (
        ("W", 1), ("kW", 1e3), ("BTU/h", 0.29307107), ("ton", 3516.8528), ("BTU", 0.29307107),
        ("btu/hr", 0.29307107),
    ),
    "area": (("in^2", 6.4516e-4), ("cm^2", 1e-4), ("mm^2", 1e-6), ("sq in", 6.4516e-4)),
    "angle": (("deg", 0.0174532925), ("°", 0.0174532925), ("rad", 1)),
    "speed": (("knot", 0.514444), ("m/s", 1), ("mph", 0.44704), ("kn", 0.514444),
              ("km/h", 0.277778)),
    "ratio": (("%", 0.01), (" percent", 0.01)),
    "kelvin": (("K", 1), ("degF", 5 / 9), (" degC", 1)),
    "voltage": (("V", 1), (" volts", 1)),
    "frequency": (("Hz", 1),),
}  # fmt: skip
_FRACTIONS = ("1/2", "5/8", "3/4", "1", "1-1/4", "1 1/2", "1½", "¾", "2")


def number(rng: random.Random, value: float) -> str:
    """A number as different people type it, to few digits or to all."""
    style = rng.random()
    if style < 0.5:
        return f"{value:.{rng.randint(2, 5)}g}"
    if style < 0.7:
        return repr(value)
    if style < 0.8:
        return f"{value:.3e}"
    if style < 0.9:
        return f"{value:+.6f}"
    return f"{value:.4f}".replace(".", ",") if rng.random() < 0.2 else f"{value:.4f}"


def quantity(rng: random.Random, value: float, kind: str) -> str:
    """Text with a unit that reads as about this SI value."""
    unit, scale = rng.choice(_UNITS[kind])
    blank = "" if unit in ('"', "'", "°", "%") else rng.choice((" ", " ", "  ", ""))
    return f"{number(rng, value / scale)}{blank}{unit}"


def exact(rng: random.Random, value: float, kind: str) -> str:
    """The same to the last digit, for what must agree with something else."""
    unit, scale = rng.choice([u for u in _UNITS[kind] if u[0] in ("m", "mm", "cm", "in", "ft")])
    return f"{value / scale:.9g} {unit}"


def temperature(rng: random.Random, celsius: float) -> str:
    """A temperature in one or another unit."""
    if rng.random() < 0.5:
        return f"{number(rng, celsius * 1.8 + 32)} {rng.choice(('degF', '°F', 'F'))}"
    return f"{number(rng, celsius)} {rng.choice(('degC', '°C', 'C'))}"


def bore(rng: random.Random, wild: float) -> str:
    """A bore: mostly a trade size, else anything from 2 mm to half a meter.

    In feet never so wide that it is taken for a slip of inches.
    """
    if rng.random() > wild:
        return f"{rng.choice(_FRACTIONS)} in"
    meters = min(max(2.0 * 250 ** rng.random(), 2.001), 499) / 1000
    text = quantity(rng, meters, "length")
    slip = meters > _IN_FEET and text.endswith(("ft", "feet", "'"))
    return f"{meters / 0.0254:.4g} in" if slip else text


def name(rng: random.Random, taken: set[str]) -> str:
    """A name that is not in use yet, which is then recorded."""
    found = rng.choice(NAMES)
    while one_line(found) in taken:
        found = f"{found[:50]}{rng.randint(0, 999)}"
    taken.add(one_line(found))
    return found
