"""What people believe about loops, how the quiz asks about it, and what it answers."""

from collections.abc import Mapping
from typing import Any

from loop.records import dataclass
from loop.words.tables import read_words


@dataclass(frozen=True)
class BeliefWords:
    """Words for one way of asking: the question, the right answer, why the wrong one tempts."""

    asks: str
    holds: str
    tempts: str


@dataclass(frozen=True)
class CommonBelief:
    """A belief, and the words for each way of asking about it."""

    belief: str
    said: Mapping[str, BeliefWords]


def _belief(belief: str, **ways: dict[str, str]) -> CommonBelief:
    """A belief from its table; a key may name several ways of asking, separated by spaces."""
    words = {names: BeliefWords(**said) for names, said in ways.items()}
    return CommonBelief(belief, {name: words[names] for names in words for name in names.split()})


_WORDS = read_words("teaching/beliefs")
_ALSO: Mapping[str, Any] = _WORDS.pop("also")
BELIEFS: Mapping[str, CommonBelief] = {name: _belief(**table) for name, table in _WORDS.items()}
# By quantity: how a question about flow ends, and what comes before the flow behind a tempting
# answer. The reply to an answer that is neither right nor the belief's, by how it is off; and what
# a high point above or below a height means for a bleed.
ASKED: Mapping[str, str] = _ALSO["asked"]
AT: Mapping[str, str] = _ALSO["at"]
NEITHER: str = _ALSO["neither"]
OFF: Mapping[str, str] = _ALSO["off"]
AT_A_BLEED: Mapping[str, str] = _ALSO["bleed"]
