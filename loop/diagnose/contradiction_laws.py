"""Pairs of readings that contradict each other by their meaning, on any loop, under any fault.

A fault with a broad effect, or a loop of which little is known, has some row that fits nearly any
two readings, so these rules do not use rows: a stream that does not run fills no bucket, a strong
one is no trickle, a pump that stands delivers no water, a silent one does not draw running current,
and a unit that cools the boat has water and warms it, by no more than its heat.
"""

from collections.abc import Iterator, Mapping

import numpy as np

from loop.diagnose.measured import Measured
from loop.diagnose.reading_kinds import COMES, STANDS, TWO_SIGMA
from loop.diagnose.readings import SEA, ReadingSet
from loop.diagnose.study import Study
from loop.diagnose.word_likelihoods import far_from_said
from loop.records import dataclass

# Deviation exceeded once in a thousand times [standard deviations]: quantile of the normal.
FAR = 3.09
# A word with a lower probability is a mistake (`words_seen`: a slip is 0.04).
BY_MISTAKE = 0.05
# A motor that turns draws more than this share of its running current (engineering estimate: an
# idle one draws about 0.4). Above the second factor it may be stuck, with its hum unheard.
_DRAWS, _STUCK = 0.1, 1.8
# The outlet temperature, and its model error [K] (engineering estimate).
LEAVES, MISSED = "outlet_temperature", 0.3
# Upper limit on the water's heat gain, relative to the unit's own heat: a source missing from the
# file may double it (engineering estimate).
MOST_HEAT = 2.0
SOUND, STREAM, FLOW = "pump_sound", "stream", "flow"


@dataclass(frozen=True)
class Law:
    """A word that contradicts a number surely above, or below, these multiples of the healthy
    reading, but not a number of ``upto`` times it or more.
    """

    key: str
    word: str
    number: str
    above: float = np.inf
    below: float = 0.0
    upto: float = np.inf


_NONE_ABOVE, _STRONG_BELOW = far_from_said(BY_MISTAKE)
LAWS: tuple[Law, ...] = (
    Law("stream", "none", "flow", above=_NONE_ABOVE),
    Law("stream", "strong", "flow", below=_STRONG_BELOW),
    Law("pump_sound", "hums", "flow", above=_NONE_ABOVE),
    Law("pump_sound", "silent", "flow", above=_NONE_ABOVE),
    Law("pump_sound", "silent", "pump_current", above=_DRAWS, upto=_STUCK),
    Law("pump_sound", "silent", "pump_power", above=_DRAWS, upto=_STUCK),
)


def broken_law(study: Study, taken: ReadingSet) -> Iterator[tuple[str, str]]:
    """Keys of two readings of which at least one must be wrong."""
    for law in LAWS:
        one, column = taken.numbers.get(law.number), study.instruments.column_of.get(law.number)
        said = law.key in study.words and taken.words.get(law.key) == law.word
        if not said or one is None or column is None:
            continue
        low, middle, high = _healthy(study, column)
        far = FAR * _sigma(one)
        over = law.above * high < one.value - far < law.upto * middle
        if over or one.value + far < law.below * low:
            yield law.key, law.number
    if stopped_yet_pumping(taken.words):
        yield SOUND, STREAM
    yield from ((STREAM, key) for key in taken.words if _cools_without_water(taken, (STREAM, key)))
    leaving = [
        key for key in taken.numbers if key in study.instruments.column_of and _kind(key) == LEAVES
    ]
    for key in leaving:
        pairs = (SEA, key), (key, key.replace(LEAVES, FLOW))
        yield from (pair for pair in pairs if reason(study, taken, pair))


def reason(study: Study, taken: ReadingSet, pair: tuple[str, ...]) -> str:
    """Key of the text on why two readings of a unit break a law; "" for none."""
    if _cools_without_water(taken, pair):
        return "misfit-dry"
    if colder(taken, pair):
        return "misfit-colder"
    return "misfit-hotter" if _too_much_heat(study, taken, pair) else ""


def _kind(key: str) -> str:
    return key.partition(".")[0]


def _cools_without_water(taken: ReadingSet, pair: tuple[str, ...]) -> bool:
    """Whether the pair is a stream that does not run and a unit that cools nevertheless.

    Without water it trips within minutes.
    """
    stream, unit = pair[0], pair[-1]
    none = stream == STREAM and taken.words.get(stream) == "none"
    return none and _kind(unit) == "unit" and taken.words.get(unit) == "cools"


def _too_much_heat(study: Study, taken: ReadingSet, pair: tuple[str, ...]) -> bool:
    """Whether the pair is a unit's outlet and flow carrying more heat than the unit can give.

    Relative to the sea as read, or else the warmest of any row.
    """
    leaves = next((key for key in pair if _kind(key) == LEAVES), "")
    flow, at = leaves.replace(LEAVES, FLOW), study.instruments.column_of
    if not leaves or flow not in pair or not {leaves, flow} <= taken.numbers.keys() & at.keys():
        return False
    sea = taken.numbers.get(SEA)
    hot, much = taken.numbers[leaves], taken.numbers[flow]
    from_sea = sea.value if sea else float(study.mean[:, at[SEA]].max())
    rise = hot.value - from_sea
    off = np.sqrt(_sigma(hot) ** 2 + (_sigma(sea) ** 2 if sea else 0.0) + MISSED**2)
    least = (rise - FAR * off) * (much.value - FAR * _sigma(much))
    well = study.from_scale(study.mean[study.healthy])
    usual = (well[at[leaves]] - well[at[SEA]]) * well[at[flow]]
    return bool(rise > FAR * off and least > MOST_HEAT * usual)


def stopped_yet_pumping(words: Mapping[str, str]) -> bool:
    """Whether a pump is said to stand, humming or silent, while water comes."""
    return words.get(SOUND) in STANDS and words.get(STREAM) in COMES


def colder(taken: ReadingSet, pair: tuple[str, ...]) -> bool:
    """Whether the pair is the sea temperature and a colder outlet."""
    if len(pair) < 2 or pair[0] != SEA or pair[1].partition(".")[0] != LEAVES:
        return False
    if not set(pair) <= taken.numbers.keys():
        return False
    sea, leaves = (taken.numbers[key] for key in pair)
    sigma = float(np.sqrt(_sigma(sea) ** 2 + _sigma(leaves) ** 2 + MISSED**2))
    return leaves.value + FAR * sigma < sea.value


def _sigma(one: Measured) -> float:
    return one.half_width / TWO_SIGMA


def _healthy(study: Study, column: int) -> tuple[float, float, float]:
    """Lower limit, middle and upper limit of a healthy loop's reading, with all uncertainty."""
    row = study.healthy
    variance = (study.factor[row, column] ** 2).sum() + study.noise[row, column]
    edges = study.mean[row, column] + FAR * np.sqrt(variance) * np.array([-1.0, 0.0, 1.0])
    low, middle, high = study.column_from_scale(column, edges)
    return float(low), float(middle), float(high)
