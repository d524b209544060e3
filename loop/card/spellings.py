"""Units as they are typed on a phone, for the card's script: spelling → scale and offset to SI."""

from loop.units.definitions import Kind
from loop.units.text import factors

# Spellings by kind of quantity, small letters, without blanks.
_SPELLINGS: dict[Kind, tuple[str, ...]] = {
    "flow": (
        "gal/h", "gph", "gal/hr", "gal/min", "gpm", "l/min", "lpm", "l/h", "lph", "m^3/h", "m3/h",
    ),
    "temperature": ("degf", "°f", "f", "degc", "°c", "c"),
    "temperature_difference": ("degf", "°f", "f", "degc", "°c", "c", "k"),
    "pressure": ("psi", "bar", "mbar", "kpa", "pa", "inhg", "fth2o", "mh2o"),
    "voltage": ("v", "vac", "vdc"),
    "frequency": ("hz",),
    "power": ("w", "kw"),
    "current": ("a", "amp", "amps", "ma"),
    "volume": ("gal", "gallon", "gallons", "qt", "quart", "quarts", "l", "liter", "liters", "ml"),
    "time": ("s", "sec", "secs", "second", "seconds", "min", "mins", "minute", "minutes"),
}  # fmt: skip
_EXAMPLES: dict[str, str] = {
    "flow": "1 gal in 24 s",
    "temperature": "85 °F",
    "pressure": "2.5 psi",
    "voltage": "115 V",
    "frequency": "60 Hz",
    "power": "50 W",
    "current": "0.5 A",
}


def spellings() -> dict[str, dict[str, list[float]]]:
    """For every kind of quantity that a card reads, each spelling with scale and offset."""
    found: dict[str, dict[str, list[float]]] = {}
    for kind, units in _SPELLINGS.items():
        found[kind] = {}
        for unit in units:
            try:
                found[kind][unit] = list(factors(unit, kind))
            except ValueError:
                continue
    return found


def example(kind: str) -> str:
    """How a reading of a kind is typed."""
    return _EXAMPLES.get(kind, "")
