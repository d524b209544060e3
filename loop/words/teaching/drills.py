"""The words of a drill: safety steps, what the customer says, what was done, how a call ends."""

from collections.abc import Mapping

from loop.words.teaching.tables import read_words
from loop.words.template import Sayings

_WORDS = read_words("drills")

SAY = Sayings(_WORDS["said"])
# What the points are for, and why some are missing.
POINTS: Mapping[str, str] = _WORDS["points"]
LESS: Mapping[str, str] = _WORDS["less"]
# What is done before a thing is touched, by name.
SAFETY: Mapping[str, str] = _WORDS["safety"]
COMPLAINTS: Mapping[str, list[str]] = _WORDS["complaints"]
