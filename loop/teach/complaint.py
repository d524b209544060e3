"""The customer's complaint: what an owner sees and feels, not yet a diagnosis."""

import numpy as np

from loop.margins.heat import TRIPS
from loop.teach.cases import Case
from loop.words.teaching.drills import COMPLAINTS

# What an owner notices: a stream below this share, a unit hotter by this [K]: engineering
# estimates.
_THIN_STREAM, _HOTTER = 0.75, 4.0


def complaint(case: Case) -> str:
    """The customer's words for a case, relative to this boat without the fault."""
    numbers, healthy = case.readings.numbers, case.healthy.numbers
    flow = numbers["flow"].value / healthy["flow"].value
    hottest = [
        (numbers[key].value, numbers[key].value - healthy[key].value)
        for key in numbers
        if key.startswith("condensing_temperature")
    ]
    stream = case.readings.words.get("stream")
    if stream == "none":
        row = "no-water"
    elif stream == "sputtering":
        row = "spitting"
    elif any(value >= TRIPS for value, _ in hottest):
        row = "tripping"
    elif flow < _THIN_STREAM:
        row = "thin"
    elif any(rise >= _HOTTER for _, rise in hottest):
        row = "hot"
    else:
        row = "unsure"
    rng = np.random.default_rng([case.seed, case.level, len(COMPLAINTS[row])])
    return str(rng.choice(COMPLAINTS[row]))
