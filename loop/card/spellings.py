"""Units as typed on a phone, for the card's script: spelling → scale and offset to SI."""

from typing import Any

from loop.units import System, decimals, label
from loop.units.factors import FACTORS, RATIO_KINDS, TEMPERATURE_SCALES
from loop.units.number import FRACTIONS, QUANTITY, SIGNS, THOUSANDS_UNITS
from loop.units.shown import scale_shown
from loop.units.spelling import RULES, RULES_OF, Rules
from loop.units.spelling import SIGNS as UNIT_SIGNS
from loop.units.text import CLOCK, DURATION

_KINDS = (
    "flow", "volume", "time", "pressure", "voltage", "frequency", "power", "energy", "current",
    "temperature_difference",
)  # fmt: skip
_EXAMPLES: dict[str, str] = {
    "flow": "1 gal in 24 s",
    "temperature": "85 °F",
    "pressure": "2.5 psi",
    "voltage": "115 V",
    "frequency": "60 Hz",
    "power": "50 W",
    "current": "0.5 A",
}
_SHOWN = (
    "flow", "temperature", "temperature_difference", "pressure", "voltage", "current", "frequency",
    "power", "ratio", "time", "volume",
)  # fmt: skip


def spellings() -> dict[str, Any]:
    """What the script needs to read the quantities that a card asks for.

    Returns ``scales``, each unit's scale and offset by kind; ``over``, kinds that are a ratio of
    two others; ``rules`` and ``rules_of`` for spellings of units; ``signs`` and ``fractions`` for
    numbers, and the patterns that match a quantity; ``clock`` and ``in_turn`` for times.
    """
    scales = {kind: {unit: [s, 0.0] for unit, s in FACTORS[kind].items()} for kind in _KINDS}
    scales["volume"] |= {f"{u}^3": [s**3, 0.0] for u, s in FACTORS["length"].items()}
    scales["temperature"] = {unit: list(both) for unit, both in TEMPERATURE_SCALES.items()}
    return {
        "scales": scales,
        "over": RATIO_KINDS,
        "rules": [*UNIT_SIGNS.items(), *_scripted(RULES)],
        "rules_of": {kind: _scripted(rules) for kind, rules in RULES_OF.items()},
        "quantity": _named(QUANTITY.pattern),
        "clock": _named(CLOCK.pattern),
        "in_turn": _named(DURATION.pattern),
        "thousands": THOUSANDS_UNITS,
        "signs": SIGNS,
        "fractions": FRACTIONS,
    }


def _named(pattern: str) -> str:
    """A pattern with its named groups in JavaScript syntax."""
    return pattern.replace("?P<", "?<")


def _scripted(rules: Rules) -> list[list[str]]:
    """Rules with their group references in JavaScript syntax."""
    return [[pattern, new.replace("\\", "$")] for pattern, new in rules]


def example(kind: str) -> str:
    """An example of a reading of this kind, as typed."""
    return _EXAMPLES.get(kind, "")


def quantities(system: System) -> dict[str, dict[str, float | str]]:
    """How to show each quantity: label, decimals, and SI value = number × scale + offset."""
    found: dict[str, dict[str, float | str]] = {}
    for name in _SHOWN:
        scale, offset = scale_shown(name, system)
        found[name] = {
            "label": label(name, system),
            "decimals": decimals(name, system),
            "scale": scale,
            "offset": offset,
        }
    return found
