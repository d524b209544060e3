"""Sentences of the paper service card and its drawing; its answers are `loop.words.diagnosis`."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("service_card"))
