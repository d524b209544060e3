"""Text of the course's commands around its steps, questions, lessons and drills."""

from loop.words.teaching.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(read_words("course"))
