"""What the customer says: what a layman sees and feels, which is not yet a diagnosis."""

import numpy as np

from loop.margins.heat import TRIPS
from loop.teach.cases import Case

# What an owner notices: a stream thinner than this share, a unit hotter by this [K]: estimates.
_THIN, _WARMER = 0.75, 4.0

_NO_WATER = (
    "The unit starts, then shuts off after a minute or two. I see no water at the side at all.",
    "Nothing comes out of the side any more, and the cabin stays hot.",
)
_SPITTING = (
    "The water at the side spits and gurgles, and some days the unit trips.",
    "It sounds like somebody blowing through a straw, and the cooling comes and goes.",
)
_TRIPPING = (
    "It cools for a while, then stops with a high-pressure fault. After lunch it does it again.",
    "The unit keeps tripping in the heat of the day, just when I need it.",
)
_THIN_STREAM = (
    "The stream over the side looks thinner than it used to, and the cabin is slow to cool.",
    "It still cools, but not like last season. I think there is less water coming out.",
)
_HOT = (
    "The water runs as ever, but the cabin takes all afternoon to cool.",
    "It runs and runs and hardly keeps the cabin bearable; the water at the side looks all right.",
)
_UNSURE = (
    "I am not sure there is anything wrong. My neighbour's boat feels cooler, that is all.",
    "It seems to work, but my partner swears that it was better last year. Please look at it.",
)


def complaint(case: Case) -> str:
    """The customer's words for a case, against what this boat does with nothing wrong."""
    numbers, well = case.readings.numbers, case.well.numbers
    flow = numbers["flow"].value / well["flow"].value
    hottest = [
        (numbers[key].value, numbers[key].value - well[key].value)
        for key in numbers
        if key.startswith("condensing_temperature")
    ]
    stream = case.readings.words.get("stream")
    if stream == "none":
        said = _NO_WATER
    elif stream == "sputtering":
        said = _SPITTING
    elif any(value >= TRIPS for value, _ in hottest):
        said = _TRIPPING
    elif flow < _THIN:
        said = _THIN_STREAM
    elif any(above >= _WARMER for _, above in hottest):
        said = _HOT
    else:
        said = _UNSURE
    rng = np.random.default_rng([case.seed, case.level, len(said)])
    return str(rng.choice(said))
