"""Text of the course's commands around its steps, questions, lessons and drills."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("teaching/course"))
