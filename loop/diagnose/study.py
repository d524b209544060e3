"""The hypotheses of one loop and their predicted readings: the input of a diagnosis."""

from collections.abc import Callable
from dataclasses import field
from functools import cached_property
from typing import Any

import numpy as np

from loop.curve import Array, IntArray
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.instances import Instance
from loop.diagnose.instruments import Instruments
from loop.diagnose.sites import FELT
from loop.distinct import distinct
from loop.records import dataclass
from loop.words.guesses import guesses_sentence

# Offset of log readings as a share of their scale, so that zero has a logarithm.
LOG_OFFSET = 0.05
_HEAT_SHOWS = 1.5  # K


def rows_by_owner(owner: IntArray, count: int) -> tuple[IntArray, ...]:
    """The rows of each of `count` owners, whose indices ascend along the rows."""
    rows, ends = np.arange(len(owner)), np.cumsum(np.bincount(owner, minlength=count)).tolist()
    return tuple(rows[start:end] for start, end in zip([0, *ends], ends, strict=False))


@dataclass(frozen=True)
class Study:
    """Every fault at every severity: h hypotheses, c columns of `instruments`, k factors.

    A reading, or where ``scale`` is above 0 ln(reading / scale + 0.05), is mean + factor · z +
    noise; mean : (h, c); factor : (h, c, k + 2), the last two for the position of each severity in
    its cell; noise : (h, c), variances without the instruments'. owner : (h,), index of each row's
    instance; severity : (h, 2), the second NaN for a single fault; weight : (h,) prior, sums to 1.
    after : (h, 2), the row once the first, or the second, fault is fixed. sea_set : (h,), whether
    the row has a sea warmer than the job's. words : probability of each answer of each qualitative
    reading, (h, answers). known : whether the job is this boat's own.
    """

    instruments: Instruments
    instances: tuple[Instance, ...]
    mean: Array
    factor: Array
    noise: Array
    owner: IntArray
    severity: Array
    weight: Array
    after: IntArray
    sea_set: "np.ndarray[tuple[int], np.dtype[np.bool_]]"
    scale: Array
    words: dict[str, Array] = field(repr=False)
    known: bool = True
    speeding: "Callable[[], Study] | None" = field(default=None, repr=False)
    memory: dict[str, Any] = field(default_factory=dict, repr=False)

    @cached_property
    def healthy(self) -> int:
        """Row of the healthy loop."""
        names = [one.name for one in self.instances]
        return int(self.rows_of[names.index("healthy")][0])

    @cached_property
    def rows_of(self) -> tuple[IntArray, ...]:
        """The rows of each instance."""
        return rows_by_owner(self.owner, len(self.instances))

    @cached_property
    def rows_by_fault(self) -> dict[str, tuple[IntArray, IntArray]]:
        """The rows with each fault, at any site, and whether it is their first or second."""
        found: dict[str, list[tuple[IntArray, IntArray]]] = {}
        for rows, one in zip(self.rows_of, self.instances, strict=True):
            for slot, fault in enumerate(one.faults):
                found.setdefault(fault.name, []).append((rows, np.full(len(rows), slot)))
        return {
            name: (np.concatenate([rows for rows, _ in some]), np.concatenate([s for _, s in some]))
            for name, some in found.items()
        }

    @cached_property
    def guesses(self) -> str:
        """Text on values that nobody has measured; "" where there are none."""
        return guesses_sentence(self.instruments.job)

    @cached_property
    def causes(self) -> tuple[int, ...]:
        """Instances of a single listed fault: the causes that are displayed."""
        return tuple(
            number
            for number, one in enumerate(self.instances)
            if len(one.faults) == 1 and one.name != UNKNOWN
        )

    @cached_property
    def slot(self) -> IntArray:
        """Position of each cause in each instance: 0, 1, or −1 for absent, (i, i).

        The first axis is the cause, an instance of a single fault.
        """
        faults = [list(zip(one.faults, one.sites, strict=True)) for one in self.instances]
        keys = [[(fault.name, site.where) for fault, site in pairs] for pairs in faults]
        found = np.full((len(keys), len(keys)), -1)
        for number, own in enumerate(keys):
            if len(own) == 1:
                found[number] = [k.index(own[0]) if own[0] in k else -1 for k in keys]
        return found

    @cached_property
    def behind(self) -> dict[int, tuple[IntArray, Array]]:
        """By row of a pair whose first fault hides the second: what is left after its fix.

        Every row of the second alone, and the log of its share, since its severity was hidden.
        """
        single = {one.parts: i for i, one in enumerate(self.instances) if len(one.faults) == 1}
        found = {}
        for number, one in enumerate(self.instances):
            if one.behind:
                rows = self.rows_of[single[one.behind]]
                share = np.log(self.weight[rows] / self.weight[rows].sum())
                found.update({int(row): (rows, share) for row in self.rows_of[number]})
        return found

    @cached_property
    def cell(self) -> Array:
        """Lower and upper edge of each row's severity cell, for its first and second fault.

        Shape (h, 2, 2); both edges are the severity itself where it has no spread.
        """
        edges = np.stack([self.severity, self.severity], axis=2)
        known: dict[tuple[str, bytes], Array] = {}  # a fault's grid recurs in its pairs
        for rows, one in zip(self.rows_of, self.instances, strict=True):
            for slot, fault in enumerate(one.faults):
                own = self.severity[rows, slot]
                key = fault.name, own.tobytes()
                if fault.high > fault.low and key not in known:
                    grid, place = distinct(own)
                    middles = (grid[1:] + grid[:-1]) / 2
                    bounds = np.concatenate([[fault.low], middles, [fault.high]])
                    known[key] = np.stack([bounds[place], bounds[place + 1]], axis=1)
                if key in known:
                    edges[rows, slot] = known[key]
        return edges

    @cached_property
    def shows(self) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
        """Whether each row noticeably reduces a flow or raises a condensing temperature, (h,)."""
        mean = self.from_scale(self.mean)
        healthy = mean[self.healthy]
        found = np.zeros(len(mean), dtype=bool)
        for number, column in enumerate(self.instruments.columns):
            if column.kind.name == "flow":
                found |= mean[:, number] < FELT * healthy[number]
            if column.kind.name == "condensing_temperature":
                found |= mean[:, number] > healthy[number] + _HEAT_SHOWS
        return found

    def blamed(self, origin: IntArray, now: IntArray) -> IntArray:
        """Row to blame for a row that was `origin` and is `now` after the actions.

        What is left; or, where nothing is left that shows, the original: that has been fixed.
        """
        return np.where(self.shows[now], now, origin)

    @cached_property
    def under_way(self) -> "Study":
        """The same hypotheses with the boat at speed; itself where those are not available."""
        return self.speeding() if self.speeding else self

    def from_scale(self, values: Array) -> Array:
        """Readings in SI from values (…, c) in the study's scale."""
        if not self.scale.any():
            return values
        size = np.where(self.scale > 0, self.scale, 1.0)
        logs = size * (np.exp(np.minimum(values, 50.0)) - LOG_OFFSET)
        return np.where(self.scale > 0, np.maximum(logs, 0.0), values)

    def column_from_scale(self, column: int, values: Array) -> Array:
        """One column's readings [SI] from values in the study's scale."""
        scale = float(self.scale[column])
        if scale <= 0:
            return values
        return np.maximum(scale * (np.exp(np.minimum(values, 50.0)) - LOG_OFFSET), 0.0)

    def to_scale(self, column: int, value: float, width: float) -> tuple[float, float]:
        """A reading [SI] and its standard deviation, in the study's scale."""
        scale = float(self.scale[column])
        if scale <= 0:
            return value, width
        above = max(value, 0.0) / scale + LOG_OFFSET
        return float(np.log(above)), width / scale / above
