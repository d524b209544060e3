"""Pairs of readings that no listed fault explains: one is wrong, or the list is incomplete.

Each alone is consistent with some fault, so a warning about either alone would be wrong.
"""

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.diagnose.contradiction_laws import BY_MISTAKE, FAR, broken_law
from loop.diagnose.display import display_name, reading_text
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings, ReadingSet
from loop.diagnose.study import Study
from loop.records import dataclass
from loop.units import System

Rows = NDArray[np.bool_]

# Squared distance of two numbers together that is exceeded once in a thousand times: quantile of
# chi-squared with two degrees of freedom.
FAR_TOGETHER = 13.8
# A unit carries on for minutes after the water stops, so its state fits every row.
SLOW = "unit"


@dataclass(frozen=True)
class _Deviation:
    """A number's deviation from each row (h,), its factors (h, k), and its own variance (h,)."""

    off: Array
    factor: Array
    own: Array

    @property
    def variance(self) -> Array:
        return np.asarray((self.factor**2).sum(axis=1) + self.own)

    @property
    def fits(self) -> Rows:
        return self.off**2 <= FAR**2 * self.variance

    def fits_with(self, other: "_Deviation") -> Rows:
        """Rows that fit both numbers at once, by their joint squared distance."""
        shared = (self.factor * other.factor).sum(axis=1)
        across = self.off**2 * other.variance - 2 * self.off * other.off * shared
        between = self.variance * other.variance - shared**2
        distance = across + other.off**2 * self.variance
        return np.asarray(distance <= FAR_TOGETHER * between)


def contradiction(study: Study, taken: ReadingSet) -> tuple[str, ...]:
    """Keys of two readings that no row of the study fits together, the quicker to repeat first.

    Of several such pairs the quickest to repeat; empty where there is none. The unknown fault fits
    anything, so it does not count.
    """
    known = np.array([one.name != UNKNOWN for one in study.instances])[study.owner]
    minutes, fits, numbers = {}, {}, {}
    for number, column in enumerate(study.instruments.columns):
        if column.key in taken.numbers:
            numbers[column.key] = one = _deviation(study, taken, number)
            minutes[column.key], fits[column.key] = column.kind.minutes, one.fits & known
    for column in study.instruments.words:
        if column.key in taken.words:
            said = column.kind.meant(taken.words[column.key])
            meant = [number for number, one in enumerate(column.kind.choices) if one in said]
            likely = study.words[column.key][:, meant].sum(axis=1) >= BY_MISTAKE
            likely = likely | (column.kind.name == SLOW)
            minutes[column.key], fits[column.key] = column.kind.minutes, likely & known
    never = {frozenset(pair) for pair in broken_law(study, taken)}
    pairs = (
        (one, other)
        for one, other in combinations(sorted(fits, key=minutes.__getitem__), 2)
        if {one, other} in never
        or (
            fits[one].any()
            and fits[other].any()
            and not (fits[one] & fits[other] & _joint_fits(numbers, one, other)).any()
        )
    )
    return min(pairs, key=lambda pair: sum(map(minutes.__getitem__, pair)), default=())


def _deviation(study: Study, taken: ReadingSet, column: int) -> _Deviation:
    one = taken.numbers[study.instruments.columns[column].key]
    value, width = study.to_scale(column, one.value, one.half_width / TWO_SIGMA)
    own = study.noise[:, column] + width**2
    return _Deviation(value - study.mean[:, column], study.factor[:, column], own)


def _joint_fits(numbers: dict[str, _Deviation], one: str, other: str) -> Rows | bool:
    both = one in numbers and other in numbers
    return numbers[one].fits_with(numbers[other]) if both else True


def pair_text(pair: tuple[str, ...], readings: Readings, system: System) -> dict[str, str]:
    """Two readings as a person says them: "stream none", "flow 200 gal/h"."""
    read = {key: v for one in (readings, *readings.steps) for key, v in one.values.items()}
    said = (f"{display_name(key)} {reading_text(key, read[key], system)}" for key in pair)
    return dict(zip(("one", "other"), said, strict=True))
