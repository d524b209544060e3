"""Fit of the uncertain parameters of a fault-free loop to readings."""

from collections.abc import Iterator, Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose.instruments import Instruments
from loop.diagnose.model_change import ModelChange
from loop.diagnose.predict import predict
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings
from loop.diagnose.solved_loops import states
from loop.diagnose.uncertainty import NAMES, ParameterDistribution
from loop.records import dataclass

_PAIRS = 16
_ROUNDS = 8
# Each round's linearization uses samples over this share of the prior spread.
_NEAR = 0.25
# Longest step of a round, in prior standard deviations.
_STRIDE = 2.0
# Visits fitted in one batch: enough that array arithmetic outweighs call overhead.
_TOGETHER = 50


@dataclass(frozen=True)
class Fit:
    """Posterior parameters, and the predictive mean (c,) and covariance (c, c) of every reading."""

    parameters: ParameterDistribution
    mean: Array
    covariance: Array


def fit(place: Instruments, before: ParameterDistribution, readings: Readings) -> Fit:
    """The posterior parameters given readings, by Gauss–Newton steps to the most probable loop.

    Each round linearizes the readings at the current estimate and takes the normal posterior of the
    prior `before` under that (an iterated Kalman update: Bell & Cathey, IEEE Trans. Autom. Control
    38 (1993) 294). Ignores readings that this loop cannot give.
    """
    return fits(place, before, [readings])[0]


def fits(
    place: Instruments, before: ParameterDistribution, visits: Sequence[Readings]
) -> list[Fit]:
    """`fit` for each set of readings, batched in the same rounds."""
    together = [_VisitFit(place, before, readings) for readings in visits]
    found = []
    for first in range(0, len(together), _TOGETHER):
        some = together[first : first + _TOGETHER]
        for _ in range(_ROUNDS):
            for visit, tangent in zip(some, _tangents(place, before, some), strict=True):
                visit.step(*tangent)
        for visit, (here, slope) in zip(some, _tangents(place, before, some), strict=True):
            after = (visit.after + visit.after.T) / 2
            found.append(
                Fit(ParameterDistribution(visit.at, after), here, slope @ visit.after @ slope.T)
            )
    return found


class _VisitFit:
    """One set of readings during its fit: current estimate `at`, covariance `after`."""

    def __init__(
        self, place: Instruments, before: ParameterDistribution, readings: Readings
    ) -> None:
        keys = [key for key in readings.numbers if key in place.column_of]
        self._taken = [place.column_of[key] for key in keys]
        self._value = np.array([readings.numbers[key].value for key in keys])
        self._sigma = np.array([readings.numbers[key].half_width for key in keys]) / TWO_SIGMA
        self._before = before
        self.at, self.after = before.mean.copy(), before.covariance

    def step(self, here: Array, slope: Array) -> None:
        """One round, from predicted readings `here` (columns,) and slopes (columns, k)."""
        if not self._taken:
            return
        before = self._before
        along = slope[self._taken] / self._sigma[:, None]
        together = along @ before.covariance @ along.T + np.eye(len(self._taken))
        gain = np.linalg.solve(together, along @ before.covariance).T
        off = (self._value - here[self._taken]) / self._sigma - along @ (before.mean - self.at)
        longest = _STRIDE * np.sqrt(np.diag(before.covariance))
        self.at = self.at + np.clip(before.mean + gain @ off - self.at, -longest, longest)
        self.after = before.covariance - gain @ along @ before.covariance


def _tangents(
    place: Instruments, before: ParameterDistribution, visits: Sequence[_VisitFit]
) -> Iterator[tuple[Array, Array]]:
    """Readings at each visit's estimate, (columns,), and their slopes, (columns, k)."""
    draws = ParameterDistribution(np.zeros(len(NAMES)), before.covariance * _NEAR**2).draws(_PAIRS)
    shifts = np.concatenate([np.zeros((1, len(NAMES))), draws])
    rows = np.concatenate([visit.at + shifts for visit in visits])
    for values in np.split(predict(place, states(place, [ModelChange()], rows)), len(visits)):
        slope, *_ = np.linalg.lstsq(draws, values[1:] - values[1:].mean(axis=0), rcond=None)
        yield values[0], slope.T
