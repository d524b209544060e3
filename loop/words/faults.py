"""Words for a fault on one loop: its title, its fix with the hazards, its severity."""

from loop.units import System, show
from loop.words.cautions import BELOW_WATER, CODES, POWER, REFRIGERANT
from loop.words.diagnosis import SAY
from loop.words.fault_rows import PUMP_FAULTS, WORDS
from loop.words.had import ALL, Has
from loop.words.template import fill
from loop.words.to_do import fixing, with_hazard

CAUTIONS: tuple[str, ...] = (BELOW_WATER, POWER, REFRIGERANT, CODES)
_REFRIGERANT = {"not-water-side", "refrigerant-low"}
_DRY = {
    "sea-warm",
    "not-water-side",
    "refrigerant-low",
    "no-power-under-way",
    "healthy",
    "supply-low",
    "generator-slow",
    "no-power",
    "unit-off",
}


def title(name: str) -> str:
    """Title of a fault or a pair of faults."""
    first, *others = (WORDS[one].title for one in name.split(" + "))
    return SAY("pair-title", first=first, other=others[0]) if others else first


def fix(name: str, has: Has = ALL) -> str:
    """Fix of a fault or a pair, hazards first, on a loop that has these parts.

    >>> fix("condenser-scaled").startswith("Descaler burns")
    True
    """
    said = (with_hazard(*fixing(one, has)) for one in name.split(" + "))
    first, *others = said
    return SAY("pair-fix", first=first, other=others[0]) if others else first


def look(name: str, has: Has = ALL) -> str:
    """What to look at to confirm it; `has` as in `fix`."""
    return "; ".join(has.text(WORDS[one].look) for one in name.split(" + "))


def severity_words(
    name: str, severity: float, system: System, band: tuple[float, float] | None = None
) -> str:
    """A fault's severity in words, with its band where given.

    >>> severity_words("strainer-blocked", 0.65, "us", (0.5, 0.8))
    '65% (50% to 80%) of the basket'
    """
    row = WORDS[name]
    bad, *edges = (show(one, row.quantity, system) for one in (severity, *(band or ())))
    if edges:
        bad = SAY("with-band", middle=bad, low=edges[0], high=edges[1])
    return fill(row.severity, {"bad": bad}, system)


def is_graded(name: str) -> bool:
    """Whether the words for a fault's severity include its value."""
    return "{bad}" in WORDS[name].severity


def cautions(name: str) -> tuple[str, ...]:
    """The cautions of `CAUTIONS` that apply to a fault or a pair."""
    faults = set(name.split(" + "))
    applies = {
        BELOW_WATER: bool(faults - _DRY),
        POWER: bool(faults & PUMP_FAULTS.keys()),
        REFRIGERANT: bool(faults & _REFRIGERANT),
        CODES: True,
    }
    return tuple(text for text in CAUTIONS if applies[text])
