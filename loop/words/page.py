"""Replies of the local page's server when it cannot do what is asked."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("page"))
