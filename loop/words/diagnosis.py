"""The sentences of a diagnosis: its headline, its reasons, its notes, its mistakes."""

from loop.words.tables import read_words
from loop.words.template import Sayings

_WORDS = read_words("diagnosis")
# Said by the program and by the phone card; then what each of them says alone.
BOTH: dict[str, str] = _WORDS["both"]
ON_THE_CARD: dict[str, str] = _WORDS["card"]
IN_THE_PROGRAM: dict[str, str] = _WORDS["program"]

SAY = Sayings(BOTH | ON_THE_CARD | IN_THE_PROGRAM)
