"""What is said of a fault or a pair of faults, from the row of each."""

from loop.units import System, show
from loop.words.cautions import BELOW_WATER, CODES, POWER, REFRIGERANT
from loop.words.diagnosis import SAY
from loop.words.fault_rows import WORDS as WORDS
from loop.words.template import fill
from loop.words.to_do import DOING, with_hazard

CAUTIONS: tuple[str, ...] = (BELOW_WATER, POWER, REFRIGERANT, CODES)
_ELECTRICAL = {
    "supply-low", "pump-decoupled", "pump-worn", "pump-air-bound", "no-power", "pump-jammed",
    "motor-weak", "wrong-pump",
}  # fmt: skip
_DRY = {"sea-warm", "not-water-side", "healthy", "supply-low", "no-power", "unit-off"}


def title(name: str) -> str:
    """What a fault, or a pair of faults, is called."""
    first, *others = (WORDS[one].title for one in name.split(" + "))
    return SAY("pair-title", first=first, other=others[0]) if others else first


def fix(name: str, bleed: bool = True) -> str:
    """What to do about a fault or a pair, hazards first; `bleed`: the loop has one after the pump.

    >>> fix("condenser-scaled").startswith("Descaler burns")
    True
    """
    said = []
    for one in name.split(" + "):
        row = WORDS[one]
        other = bool(row.without_bleed) and not bleed
        action = "loosen-outlet-hose" if other else row.hazard
        hazard = DOING[action].hazard if action else ""
        way = with_hazard(hazard, row.without_bleed if other else row.fix)
        more = with_hazard(row.then_hazard, row.then)
        said.append(SAY("fix-then", first=way, when=row.when, then=more) if more else way)
    first, *others = said
    return SAY("pair-fix", first=first, other=others[0]) if others else first


def look(name: str, bleed: bool = True) -> str:
    """What to look at, to be sure; `bleed` as in `fix`."""
    rows = [WORDS[one] for one in name.split(" + ")]
    return "; ".join((not bleed and row.look_without_bleed) or row.look for row in rows)


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


def cautions(name: str) -> tuple[str, ...]:
    """The cautions that go with a fault or a pair, of `CAUTIONS`."""
    faults = set(name.split(" + "))
    applies = {
        BELOW_WATER: bool(faults - _DRY),
        POWER: bool(faults & _ELECTRICAL),
        REFRIGERANT: "not-water-side" in faults,
        CODES: True,
    }
    return tuple(text for text in CAUTIONS if applies[text])
