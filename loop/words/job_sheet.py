"""The sentences of the job sheet: headings, shopping list, card and start-up steps."""

from loop.words.tables import read_words
from loop.words.template import Sayings

SAY = Sayings(lambda: read_words("sheet_steps") | read_words("job_sheet"))
