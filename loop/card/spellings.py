"""Units as they are typed on a phone, for the card's script: spelling → scale and offset to SI."""

from loop.units import System, decimals, label
from loop.units.definitions import Kind
from loop.units.factors import FACTORS, TEMPERATURES
from loop.units.shown import scale_shown

_KINDS: tuple[Kind, ...] = (
    "flow", "volume", "time", "pressure", "voltage", "frequency", "power", "current",
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


def spellings() -> dict[str, dict[str, list[float]]]:
    """For every kind of quantity that a card reads, each spelling with scale and offset.

    Flows may also be any volume over any time.
    """
    found = {str(kind): {unit: [s, 0.0] for unit, s in FACTORS[kind].items()} for kind in _KINDS}
    found["volume"] |= {f"{u}^3": [s**3, 0.0] for u, s in FACTORS["length"].items()}
    found["temperature"] = {unit: list(both) for unit, both in TEMPERATURES.items()}
    return found


def example(kind: str) -> str:
    """How a reading of a kind is typed."""
    return _EXAMPLES.get(kind, "")


def quantities(system: System) -> dict[str, dict[str, float | str]]:
    """How each quantity is shown: label, decimals, and SI value = number × scale + offset."""
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
