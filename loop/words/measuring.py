"""How each reading is taken, its hazard first, and the basis of its usual uncertainty.

A row has blanks for parts that a loop may lack; `loop.words.had` fills them.
"""

from loop.records import dataclass
from loop.words.cautions import SHARED
from loop.words.tables import read_words


@dataclass(frozen=True)
class Measuring:
    """Words for one kind of reading: the request, how to take it, the basis, the hazard or "".

    ``ask`` has a blank for the unit, where there are several.
    """

    ask: str
    how: str
    basis: str
    hazard: str = ""


_WORDS = read_words("measuring", SHARED)
MEASURING: dict[str, Measuring] = {kind: Measuring(**row) for kind, row in _WORDS["kinds"].items()}
ASKED_OTHERWISE: dict[str, str] = _WORDS["asked-otherwise"]
HAZARDS_OTHERWISE: dict[str, str] = _WORDS["hazards-otherwise"]
OTHERWISE: dict[str, str] = _WORDS["otherwise"]
