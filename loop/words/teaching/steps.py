"""All words of an explanation: its sections, and a row for every kind of step."""

from collections.abc import Mapping
from dataclasses import field

from loop.records import dataclass
from loop.words.teaching.tables import read_words
from loop.words.template import Sayings

_WORDS = read_words("steps")
PHRASE = Sayings(_WORDS["phrases"])


@dataclass(frozen=True)
class StepWords:
    """Words of a step; every text may have places for facts (`loop.words.template`).

    ``result`` is ``"symbol:quantity = formula"``, the quantity a key of units or the unit itself,
    without the formula for a figure from a table or the solver, and empty for a remark. ``says`` is
    what the result means on the boat: one sentence, or one for each claim that may hold.
    ``given`` says of inputs that no earlier step gives what quantity they are, if they stand in the
    job (``"bore"``), or in what unit and where they stand (``"V; datasheet"``); what it leaves out
    is a plain number of the job. The result is shown to ``digits`` significant digits.
    """

    title: str
    says: str | Mapping[str, str]
    result: str = ""
    source: str = ""
    given: Mapping[str, str] = field(default_factory=dict)
    digits: int = 4

    @property
    def parsed(self) -> tuple[str, str, str]:
        """Symbol, quantity and formula of the result."""
        head, _, formula = self.result.partition(" = ")
        symbol, _, quantity = head.partition(":")
        return symbol, quantity, formula

    def meaning(self, claim: str) -> str:
        """What is said where this claim holds."""
        return self.says if isinstance(self.says, str) else self.says[claim]

    def of(self, symbol: str) -> tuple[str, str]:
        """Of an input that no earlier step gives: its unit or quantity, and where it stands.

        ``z_2`` is as ``z``. A text without either is where it stands, one word a quantity.
        """
        said = self.given.get(symbol, self.given.get(symbol.partition("_")[0], ""))
        unit, parted, origin = said.rpartition("; ")
        if not parted and said.replace("_", "").isalpha():
            return said, PHRASE("job")
        return unit, origin or PHRASE("job")


SECTIONS: Mapping[str, str] = _WORDS["sections"]
CHANGES: Mapping[str, str] = _WORDS["changes"]
STEPS: Mapping[str, StepWords] = {name: StepWords(**row) for name, row in _WORDS["steps"].items()}
