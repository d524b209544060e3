"""Text of an explanation: its sections, and a row for every kind of step."""

from collections.abc import Mapping
from dataclasses import field

from loop.records import dataclass
from loop.words.tables import read_words
from loop.words.template import Sayings

_WORDS = read_words("teaching/steps")
PHRASE = Sayings(lambda: _WORDS["phrases"])


@dataclass(frozen=True)
class StepWords:
    """Words of a step; every text may have blanks for facts (`loop.words.template`).

    ``result`` is ``"symbol:quantity = formula"``; the quantity is a key of units or the unit
    itself. Without a formula it is a figure from a table or the solver; empty, the step is a
    remark. ``says`` is what the result means on the boat: one sentence, or one for each claim that
    may hold. ``given`` describes inputs that no earlier step gives: their quantity, if they are in
    the job (``"bore"``), or their unit and source (``"V; datasheet"``); an input that it omits is
    a plain number of the job. The result is shown to ``digits`` significant digits.
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
        """The sentence for this claim."""
        return self.says if isinstance(self.says, str) else self.says[claim]

    def of(self, symbol: str) -> tuple[str, str]:
        """Unit or quantity, and source, of an input that no earlier step gives.

        ``z_2`` is as ``z``. Text without a semicolon is the source; a single word, the quantity.
        """
        said = self.given.get(symbol, self.given.get(symbol.partition("_")[0], ""))
        unit, parted, origin = said.rpartition("; ")
        if not parted and said.replace("_", "").isalpha():
            return said, PHRASE("job")
        return unit, origin or PHRASE("job")


SECTIONS: Mapping[str, str] = _WORDS["sections"]
CHANGES: Mapping[str, str] = _WORDS["changes"]
STEPS: Mapping[str, StepWords] = {name: StepWords(**row) for name, row in _WORDS["steps"].items()}
