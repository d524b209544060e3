"""What a notebook's tables say around an answer: the titles of their columns, and three words."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("notebook"))
