"""What the commands print besides their reports: files, options, questions, records.

Help texts are where their options are declared, and the catalog's titles in `loop pumps`: both
answer at once, without loading this package.
"""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("commands"))
