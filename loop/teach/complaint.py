"""The customer's complaint: what an owner sees and feels, not yet a diagnosis."""

import numpy as np

from loop.margins.heat import TRIPS
from loop.teach.cases import Case
from loop.words.teaching.drills import COMPLAINTS

# What an owner notices: a stream below this share, a unit hotter by this [K]: engineering
# estimates.
_THIN, _WARMER = 0.75, 4.0


def complaint(case: Case) -> str:
    """The customer's words for a case, relative to this boat without the fault."""
    numbers, well = case.readings.numbers, case.well.numbers
    flow = numbers["flow"].value / well["flow"].value
    hottest = [
        (numbers[key].value, numbers[key].value - well[key].value)
        for key in numbers
        if key.startswith("condensing_temperature")
    ]
    stream = case.readings.words.get("stream")
    if stream == "none":
        said = "no-water"
    elif stream == "sputtering":
        said = "spitting"
    elif any(value >= TRIPS for value, _ in hottest):
        said = "tripping"
    elif flow < _THIN:
        said = "thin"
    elif any(above >= _WARMER for _, above in hottest):
        said = "hot"
    else:
        said = "unsure"
    rng = np.random.default_rng([case.seed, case.level, len(COMPLAINTS[said])])
    return str(rng.choice(COMPLAINTS[said]))
