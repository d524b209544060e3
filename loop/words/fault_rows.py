"""Title, fix and closer look of each fault: one row per fault.

Faults of the pump, its motor and its supply have their own file; each carries the caution about
wiring.
"""

from loop.records import dataclass
from loop.words.cautions import SHARED
from loop.words.tables import read_words

# What comes before a look that opens the line.
_SHUT = "[{seacock} shut{sea_shut}][boat out of the water{sea_open}] and "


@dataclass(frozen=True)
class Wording:
    """Words for one fault: its title, what its severity means, the fix, a closer look.

    ``bad`` in ``severity`` is the severity shown as ``quantity``. ``hazard`` names the action of
    `loop.words.to_do` whose hazard applies to the fix; a look that opens the line states its own.
    ``then`` is a follow-up step, ``when`` its condition, ``then_hazard`` its hazard. ``fix``,
    ``look`` and hazards have blanks for parts that the loop may lack.
    """

    title: str
    severity: str
    fix: str
    look: str
    quantity: str = "ratio"
    hazard: str = ""
    when: str = ""
    then: str = ""
    then_hazard: str = ""


def _rows(name: str) -> dict[str, Wording]:
    rows = read_words(name, {**SHARED, "shut": _SHUT})
    return {fault: Wording(**row) for fault, row in rows.items()}


PUMP_FAULTS: dict[str, Wording] = _rows("pump_fault_rows")
WORDS: dict[str, Wording] = PUMP_FAULTS | _rows("fault_rows")
