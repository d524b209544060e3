"""Actions on a call, in the trade's words: the hazard, then the way; one row per action.

A row has blanks for parts that a loop may lack; `loop.words.had` fills them. The fix of a
named fault is in that fault's own row.
"""

from loop.records import dataclass
from loop.words.cautions import SHARED
from loop.words.tables import read_words


@dataclass(frozen=True)
class Doing:
    """Words for one action: its title, its hazard ("" for none), the way."""

    title: str
    hazard: str
    how: str


ROWS: dict[str, Doing] = {
    action: Doing(**row) for action, row in read_words("to_do_rows", SHARED).items()
}
