"""A row of the tables of faults."""

from loop.records import dataclass

# What comes before a look that opens the line.
SHUT = "[{seacock} shut][boat out of the water{no_seacock}] and "


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
