"""The sentences of `loop check`'s report: its first lines, each unit, the pump, its tables."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("check_report"))
