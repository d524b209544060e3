"""What people believe of a loop, how the quiz asks about it, and what it answers."""

from collections.abc import Mapping
from typing import Any

from loop.records import dataclass
from loop.words.teaching.tables import read_words


@dataclass(frozen=True)
class BeliefWords:
    """The words of one way of asking: what is asked, what holds, why the other answer tempts."""

    asks: str
    holds: str
    tempts: str


@dataclass(frozen=True)
class CommonBelief:
    """A belief, and the words of each way of asking about it."""

    belief: str
    said: Mapping[str, BeliefWords]


def _belief(belief: str, **ways: dict[str, str]) -> CommonBelief:
    """A belief from its table; the name of a way of asking may be several, parted by spaces."""
    words = {names: BeliefWords(**said) for names, said in ways.items()}
    return CommonBelief(belief, {name: words[names] for names in words for name in names.split()})


_WORDS = read_words("beliefs")
_ALSO: Mapping[str, Any] = _WORDS.pop("also")
BELIEFS: Mapping[str, CommonBelief] = {name: _belief(**table) for name, table in _WORDS.items()}
# How a question of flow ends, by its quantity; what is said of an answer that is neither's, by how
# it is off; and what a high point above or below a height means for a bleed.
ASKED: Mapping[str, str] = _ALSO["asked"]
NEITHER: str = _ALSO["neither"]
OFF: Mapping[str, str] = _ALSO["off"]
AT_A_BLEED: Mapping[str, str] = _ALSO["bleed"]
