"""SI number → text with a unit, in the reader's system of units."""

import math
from typing import Literal, get_args

from loop.records import dataclass
from loop.units.definitions import Kind
from loop.units.number import UnitError
from loop.units.text import factors
from loop.wrong import wrong

System = Literal["us", "si"]


def check_system(units: str | None) -> None:
    """Raise UnitError for an unknown system of units; None stands for the current one."""
    if units not in (None, *get_args(System)):
        raise UnitError(wrong("no-system", given=repr(units)[:60]))


def system_of(word: object) -> System:
    """The system of units named by a word: US units unless it is "si"."""
    return "si" if word == "si" else "us"


@dataclass(frozen=True)
class Shown:
    """How one kind of quantity is shown in one system of units."""

    unit: str
    label: str
    decimals: int


_SHOWN: dict[str, dict[System, Shown]] = {
    "flow": {"us": Shown("gal/h", "gal/h", 0), "si": Shown("L/min", "L/min", 1)},
    "head": {"us": Shown("ft", "ft", 1), "si": Shown("m", "m", 2)},
    "length": {"us": Shown("ft", "ft", 1), "si": Shown("m", "m", 2)},
    "height": {"us": Shown("in", "in", 1), "si": Shown("cm", "cm", 0)},
    "bore": {"us": Shown("in", "in", 2), "si": Shown("mm", "mm", 1)},
    "area": {"us": Shown("in^2", "in²", 2), "si": Shown("cm^2", "cm²", 1)},
    "pressure": {"us": Shown("psi", "psi", 1), "si": Shown("kPa", "kPa", 1)},
    "temperature": {"us": Shown("degF", "°F", 0), "si": Shown("degC", "°C", 1)},
    "temperature_difference": {"us": Shown("degF", "°F", 1), "si": Shown("K", "K", 1)},
    "velocity": {"us": Shown("ft/s", "ft/s", 1), "si": Shown("m/s", "m/s", 2)},
    "speed": {"us": Shown("knot", "kn", 1), "si": Shown("knot", "kn", 1)},
    "power": {"us": Shown("W", "W", 0), "si": Shown("W", "W", 0)},
    "heat": {"us": Shown("BTU/h", "BTU/h", 0), "si": Shown("kW", "kW", 2)},
    "angle": {"us": Shown("deg", "°", 0), "si": Shown("deg", "°", 0)},
    "ratio": {"us": Shown("%", "%", 0), "si": Shown("%", "%", 0)},
    "voltage": {"us": Shown("V", "V", 1), "si": Shown("V", "V", 1)},
    "current": {"us": Shown("A", "A", 1), "si": Shown("A", "A", 1)},
    "frequency": {"us": Shown("Hz", "Hz", 0), "si": Shown("Hz", "Hz", 0)},
    "volume": {"us": Shown("gal", "gal", 1), "si": Shown("L", "L", 1)},
    "time": {"us": Shown("s", "s", 0), "si": Shown("s", "s", 0)},
}
# The sign of a number below zero on a screen, as wide as a plus sign.
MINUS = "−"
# Decimals beyond those shown that are kept; digits past these are conversion error.
_KEPT_DECIMALS = 6
_KIND_OF: dict[str, Kind] = {
    "head": "length",
    "height": "length",
    "bore": "length",
    "velocity": "speed",
    "heat": "power",
}


def convert(value: float, quantity: str, system: System) -> float:
    """The SI value as a number in the unit that `system` uses for this quantity.

    >>> round(convert(6.309e-5, "flow", "si"), 3)
    3.785
    """
    scale, offset = scale_shown(quantity, system)
    return (value - offset) / scale


def scale_shown(quantity: str, system: System) -> tuple[float, float]:
    """Scale and offset of the shown unit: SI value = number × scale + offset."""
    shown = _SHOWN[quantity][system]
    return factors(shown.unit, _KIND_OF.get(quantity, quantity))


def linear_shown(quantity: str, system: System) -> tuple[float, float]:
    """Scale and offset the other way: number = SI value × scale + offset, as in `convert`."""
    zero = convert(0.0, quantity, system)
    return convert(1.0, quantity, system) - zero, zero


def label(quantity: str, system: System) -> str:
    """Label of the unit after a number, such as ``gal/h``."""
    return _SHOWN[quantity][system].label


def decimals(quantity: str, system: System) -> int:
    """Decimals with which `system` shows this quantity."""
    return _SHOWN[quantity][system].decimals


def show(value: float, quantity: str, system: System, digits: int | None = None) -> str:
    """The SI value as text with a unit for a person; a dash for NaN or infinity.

    `quantity` is a key such as ``"flow"``, ``"head"`` or ``"bore"``; `digits` overrides the number
    of decimals. Bores are shown by their trade size: in US units near a sixteenth as a fraction,
    otherwise whole millimeters as such and thirty-seconds as fractions; in SI units as the whole
    millimeters that an inch size is sold as. Volts are shown with one decimal unless it is 0. A
    number below zero has a minus sign (`MINUS`), as on every screen; files and JSON do not come
    here.

    >>> show(0.01905, "bore", "us")
    '3/4 in'
    >>> show(0.025, "bore", "us"), show(0.0254 / 32, "bore", "us"), show(0.0254 / 32, "bore", "si")
    ('25 mm', '1/32 in', '0.8 mm')
    >>> show(0.015875, "bore", "si"), show(0.0139, "bore", "si")
    ('16 mm', '13.9 mm')
    >>> show(0.0001051, "flow", "us"), show(-0.2, "height", "us")
    ('100 gal/h', '−7.9 in')
    """
    if not math.isfinite(value):
        return "—"
    number = convert(value, quantity, system)
    if quantity == "bore" and digits is None:
        if system == "us":
            return _trade_name(number, value * 1000)
        digits = 0 if _sold_in_whole_mm(number) else None
    places = _SHOWN[quantity][system].decimals if digits is None else digits
    text = f"{round(number, places + _KEPT_DECIMALS):,.{places}f}"
    if quantity == "voltage" and digits is None:
        text = text.removesuffix(".0")
    below = "" if float(text.replace(",", "")) == 0 else MINUS
    text = text.replace("-", below)
    unit = label(quantity, system)
    return f"{text}{unit}" if unit in ("°", "%") else f"{text} {unit}"


def bare(value: float, quantity: str, system: System) -> str:
    """Result of `show` without its unit, where the unit is shown elsewhere.

    >>> bare(0.0001051, "flow", "us")
    '100'
    """
    return unitless(show(value, quantity, system), quantity, system)


def unitless(text: str, quantity: str, system: System) -> str:
    """A shown number without its unit; a dash, or a bore in another unit, is left unchanged."""
    return text.removesuffix(label(quantity, system)).rstrip()


def _sold_in_whole_mm(millimetres: float) -> bool:
    """Whether a bore is sold in whole millimeters: itself whole, or a multiple of 1/8 in."""
    sizes = millimetres, millimetres / 25.4 * 8
    return any(round(size) > 0 and abs(size - round(size)) < 0.01 for size in sizes)


def _trade_name(inches: float, millimetres: float) -> str:
    """Trade name of a bore: 3/4 in, 1-1/4 in, 25 mm, 1/32 in; else decimal inches."""
    steps, whole_mm = 2 * round(inches * 16), round(millimetres)
    if steps == 0 or abs(inches * 32 - steps) > 0.1:
        if whole_mm > 0 and abs(millimetres - whole_mm) < 1e-6:
            return f"{whole_mm} mm"
        steps = round(inches * 32)
        if steps == 0 or abs(inches * 32 - steps) > 1e-6:
            return f"{inches:.3g} in"
    whole, rest = divmod(steps, 32)
    if rest == 0:
        return f"{whole} in"
    step = math.gcd(rest, 32)
    part = f"{rest // step}/{32 // step} in"
    return f"{whole}-{part}" if whole else part
