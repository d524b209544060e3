"""The titles, columns and remarks of `loop size`'s report; its sentences are in `sizing`."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("size_report"))
