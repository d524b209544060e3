"""Text of the figures: each one's first line, subject, caption and signs."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("figures"))
