"""A loop in words, from sea to sea, as a quiz question describes it."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("teaching/loops"))
