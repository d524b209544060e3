"""The sentences of a sizing: the choice, its reasons, alternatives, and how far it goes."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("sizing"))
