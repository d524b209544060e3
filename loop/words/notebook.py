"""What a notebook's tables say around an answer: the titles of their columns, and three words."""

from loop.words.template import Sayings

NOTEBOOK: dict[str, str] = {
    "fix": "Fix:",
    "trips": "trips",
    "passes": "passes",
    "units": "Unit\nflow\nbetween\nneed\ncondensing",
    "stations": "Part\nheight\nflow\nlost\ngauge",
    "options": "\npump\nsuction\npressure\nflow\nchance\n",
    "causes": "\ncause\nwhere\nfix",
    "steps": "\nstep\nresult\nmeaning",
}
SAY = Sayings(NOTEBOOK)
