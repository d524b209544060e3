"""What readings tell of a loop without a fault: its doubts, narrowed."""

from dataclasses import dataclass

import numpy as np

from loop.curve import Array
from loop.diagnose.fault_effects import Change
from loop.diagnose.instruments import Bench
from loop.diagnose.predict import predict, states
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings
from loop.diagnose.uncertainty import NAMES, Doubt

_PAIRS = 16
_ROUNDS = 8
# The tangent at each round is taken over this share of the doubts' spread.
_NEAR = 0.25
# Longest step of a round, in standard deviations of the doubt before the readings.
_STRIDE = 2.0


@dataclass(frozen=True)
class Fit:
    """Doubts after the readings, and every reading then: mean and covariance, (columns, …)."""

    doubt: Doubt
    mean: Array
    covariance: Array


def fit(place: Bench, before: Doubt, readings: Readings) -> Fit:
    """The doubts that readings leave, by Gauss–Newton steps on the most probable loop.

    Each round replaces the readings by their tangent at the loop found so far, and takes the
    normal posterior of the doubts `before` under that (an iterated Kalman update: Bell & Cathey,
    IEEE Trans. Autom. Control 38 (1993) 294). Readings that this loop cannot give are left out.
    """
    keys = [key for key in readings.numbers if key in place.at]
    taken = [place.at[key] for key in keys]
    value = np.array([readings.numbers[key].value for key in keys])
    sigma = np.array([readings.numbers[key].half_width for key in keys]) / TWO_SIGMA
    at, spread = before.mean.copy(), np.sqrt(np.diag(before.covariance))
    after = before.covariance
    for _ in range(_ROUNDS):
        here, slope = _tangent(place, at, before.covariance)
        if not keys:
            break
        along = slope[taken] / sigma[:, None]
        together = along @ before.covariance @ along.T + np.eye(len(keys))
        gain = np.linalg.solve(together, along @ before.covariance).T
        off = (value - here[taken]) / sigma - along @ (before.mean - at)
        step = before.mean + gain @ off - at
        at = at + np.clip(step, -_STRIDE * spread, _STRIDE * spread)
        after = before.covariance - gain @ along @ before.covariance
    here, slope = _tangent(place, at, before.covariance)
    return Fit(Doubt(at, (after + after.T) / 2), here, slope @ after @ slope.T)


def _tangent(place: Bench, at: Array, covariance: Array) -> tuple[Array, Array]:
    """Readings at one set of doubts, and their slopes, shape (columns, doubts)."""
    draws = Doubt(np.zeros(len(NAMES)), covariance * _NEAR**2).draws(_PAIRS)
    rows = np.concatenate([at[None, :], at + draws])
    values = predict(place, states(place, [Change()], rows))
    slope, *_ = np.linalg.lstsq(draws, values[1:] - values[1:].mean(axis=0), rcond=None)
    return values[0], slope.T
