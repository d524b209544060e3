"""Text of a drill: safety steps, the customer's words, what was done, how a call ends."""

from collections.abc import Mapping

from loop.words.tables import read_words
from loop.words.template import Sayings

_WORDS = read_words("teaching/drills")

SAY = Sayings(lambda: _WORDS["said"])
# What the points are for, and why some were lost.
POINTS: Mapping[str, str] = _WORDS["points"]
LESS: Mapping[str, str] = _WORDS["less"]
# Steps before anything is touched, by name.
SAFETY: Mapping[str, str] = _WORDS["safety"]
COMPLAINTS: Mapping[str, list[str]] = _WORDS["complaints"]
