"""A row of the tables of faults."""

from loop.records import dataclass

# What is shut, or else done, before a look that opens the line.
SHUT = "[{seacock} shut][boat out of the water{no_seacock}] and "


@dataclass(frozen=True)
class Wording:
    """Words for one fault: its name for a person, what the severity means, the fix, a closer look.

    ``bad`` in ``severity`` is the severity as `quantity` shows it. ``hazard`` names the action of
    `loop.words.to_do` whose hazard the fix has; a look that opens the line has its own before it.
    ``then`` is what to do after that, ``when`` in which case, ``then_hazard`` the hazard of it.
    ``fix``, ``look`` and hazards have blanks for the parts that the loop may lack.
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
