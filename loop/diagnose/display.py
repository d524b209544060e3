"""Readings, and lists of causes, as text for a person."""

from collections.abc import Sequence

from loop.diagnose.reading_kinds import KINDS
from loop.units import System, show
from loop.words.diagnosis import SAY
from loop.words.to_do import DOING

# Decimals of readings that need finer comparison than usual.
DIGITS = {"temperature": 1, "current": 2, "frequency": 1, "voltage": 1}


def reading_text(key: str, value: float | str, system: System) -> str:
    """A reading's value as text with its unit; a word unchanged.

    >>> reading_text("flow", 0.0001051, "us")
    '100 gal/h'
    """
    if isinstance(value, str):
        return value
    kind = KINDS[key.partition(".")[0]]
    return show(value, kind.quantity, system, DIGITS.get(kind.quantity))


def display_name(key: str) -> str:
    """Displayed name of a reading or an action.

    >>> display_name("outlet_temperature.saloon")
    'outlet temperature of saloon'
    """
    if key in DOING:
        return DOING[key].title
    base, dot, unit = key.partition(".")
    if base == "under_way":
        return SAY("reading-under-way", reading=display_name(unit))
    plain = base.replace("_", " ").replace("shutoff", "shut-off")
    return plain + (f" of {unit}" if dot else "")


def any_of(names: Sequence[str]) -> str:
    """These names as alternatives.

    >>> any_of(["pump worn"]), any_of(["pump worn", "unit tripped or off"])
    ('pump worn', 'pump worn, or unit tripped or off')
    """
    return SAY("group-any", most=", ".join(names[:-1]) or None, last=names[-1])
