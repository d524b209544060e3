"""Probabilities of the answers of qualitative readings: stream, sound, unit, basket."""

from functools import cache

import numpy as np

from loop.curve import Array
from loop.diagnose.instances import Instance
from loop.diagnose.instruments import Instruments
from loop.diagnose.model_change import ModelChange

# All are engineering estimates of what a person sees, hears and says.
# Share of the healthy flow at which half say "none", at which half say "weak", and logistic widths.
_NONE_AT, _NONE_WIDTH = 0.05, 0.015
_WEAK_AT, _WEAK_WIDTH = 0.68, 0.10
_SLIP = 0.04  # share of observations that are wrong regardless
# The same for whether water comes at all, which is hardly ever mistaken.
_SLIP_NONE = 0.02
# Probability that a stream sputters: without air, and all air.
_SPUTTERS, _SPUTTERS_AIR = 0.02, 0.92
_SPUTTERS_DRY = 0.03
# Condensing temperature [°C] at which half of units trip, and rise over the healthy one [K] at
# which half cool weakly.
TRIPS_AT, _TRIPS_WIDTH = 57.0, 2.5
_WEAK_RISE, _WEAK_RISE_WIDTH = 6.0, 2.5
# Share of cooling lost at which half of units are said to cool weakly.
_WEAK_LESS, _WEAK_LESS_WIDTH = 0.1, 0.03
# Probability that a sound unit is found off, and the increment where it trips: after a few trips it
# locks out.
_OFF_ANYWAY, _LOCKED_OUT = 0.03, 0.08
# Probability that a basket is called dirty: one that is not the trouble, and one fully blocked.
_DIRTY_ANYWAY, _DIRTY_BLOCKED = 0.2, 0.98
# normal, rough, hums, silent
_SOUND = (0.88, 0.08, 0.02, 0.02)
_STANDS = (0.02, 0.01, 0.02, 0.95)
# Share of air at which a pump is heard to churn, and its sounds.
_AIRY, _HEARD = (0.55, 0.41, 0.02, 0.02), 0.25
_SOUND_OF = {
    "no-power": _STANDS,
    "motor-dead": (0.02, 0.01, 0.05, 0.92),
    "motor-no-start": (0.02, 0.04, 0.84, 0.10),
    "pump-jammed": (0.02, 0.06, 0.82, 0.10),
    "motor-weak": (0.42, 0.30, 0.24, 0.04),
    "pump-decoupled": (0.62, 0.30, 0.05, 0.03),
    "pump-worn": (0.72, 0.23, 0.03, 0.02),
    "pump-air-bound": (0.49, 0.47, 0.02, 0.02),
    "suction-air-leak": _AIRY,
    "strainer-blocked": (0.76, 0.20, 0.02, 0.02),
    "intake-fouled": (0.76, 0.20, 0.02, 0.02),
    # A motor's torque goes with its volts squared: with too few it may not start.
    "supply-low": (0.76, 0.10, 0.12, 0.02),
}
_UNIT_OFF = (0.03, 0.05, 0.15, 0.77)  # cools, weak, trips, off: one that trips ran before


def word_likelihoods(
    instruments: Instruments,
    found: list[Instance],
    changes: list[ModelChange],
    mean: Array,
    healthy: Array,
) -> dict[str, Array]:
    """Probability of every answer, by key of the reading: (h, answers), rows sum to 1.

    `found` and `changes` : instance and change of each row; `mean` (h, columns…) : predicted
    readings under each change, `healthy` (columns…) those of the healthy loop.
    """
    chances = {
        "stream": _stream(instruments, changes, mean, healthy),
        "pump_sound": _sound(found, changes),
    }
    basket = np.array([change.basket for change in changes])
    dirty = _DIRTY_ANYWAY + (_DIRTY_BLOCKED - _DIRTY_ANYWAY) * called_dirty(basket)
    chances["strainer_seen"] = np.stack([1 - dirty, dirty], axis=1)
    for column in instruments.words:
        if column.kind.name == "unit":
            chances[column.key] = _unit(instruments, column.unit, changes, mean, healthy)
    return {column.key: chances[column.key] for column in instruments.words}


def called_dirty(share: Array) -> Array:
    """How surely a basket covered by `share` is called dirty, 0 to 1; 0.875 at half."""
    return np.asarray(1.0 - (1.0 - share) ** 3)


def far_from_said(least: float) -> tuple[float, float]:
    """Shares of the healthy flow above which "none", and below which "strong", is less likely.

    Less likely than `least`, without air in the stream; with air either is even less likely.
    """
    share = np.linspace(0.0, 2.0, 2001)
    table = _stream_at(share, np.zeros(len(share)))
    none, strong = table[:, 3] >= least, table[:, 0] >= least
    return float(share[none].max()), float(share[strong].min())


def _logistic_step(value: Array, middle: float, width: float) -> Array:
    """A logistic step from 0 to 1."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip((value - middle) / width, -50, 50))))


def _stream(
    instruments: Instruments, changes: list[ModelChange], mean: Array, healthy: Array
) -> Array:
    flow = instruments.column_of["flow"]
    share = mean[:, flow] / max(float(healthy[flow]), 1e-9)
    return _stream_at(share, np.array([change.air for change in changes]))


def _stream_at(share: Array, air: Array) -> Array:
    """Probabilities by share of the healthy flow, and of air in the stream, (n, answers)."""
    none = _SLIP_NONE + (1 - 2 * _SLIP_NONE) * (1 - _logistic_step(share, _NONE_AT, _NONE_WIDTH))
    sputters = _SPUTTERS + (_SPUTTERS_AIR - _SPUTTERS) * np.sqrt(air)
    sputters = (1 - none) * sputters + none * np.where(air > 0, 3 * _SPUTTERS_DRY, _SPUTTERS_DRY)
    none = none * (1 - np.where(air > 0, 3 * _SPUTTERS_DRY, _SPUTTERS_DRY))
    weak = _SLIP + (1 - 2 * _SLIP) * (1 - _logistic_step(share, _WEAK_AT, _WEAK_WIDTH))
    rest = 1 - none - sputters
    return np.stack([rest * (1 - weak), rest * weak, sputters, none], axis=1)


def _sound(found: list[Instance], changes: list[ModelChange]) -> Array:
    """Sounds of the loudest of an instance's faults; silence for a pump without current."""

    @cache
    def heard(names: str, other: tuple[float, ...]) -> tuple[float, ...]:
        sounds = [_SOUND_OF.get(name, other) for name in names.split(" + ")]
        return min(sounds, key=lambda chances: chances[0])

    return np.array(
        [
            heard(
                one.name,
                _STANDS if change.current == 0.0 else _AIRY if change.air >= _HEARD else _SOUND,
            )
            for one, change in zip(found, changes, strict=True)
        ]
    )


def _unit(
    instruments: Instruments, unit: int, changes: list[ModelChange], mean: Array, healthy: Array
) -> Array:
    column = next(
        i
        for i, c in enumerate(instruments.columns)
        if c.kind.name == "condensing_temperature" and c.unit == unit
    )
    hot = mean[:, column]
    trips = _SLIP + (1 - 2 * _SLIP) * _logistic_step(hot, TRIPS_AT, _TRIPS_WIDTH)
    less = 1.0 - np.array([change.rejected.get(unit, 1.0) for change in changes])
    weak = 0.1 + 0.8 * np.maximum(
        _logistic_step(hot - healthy[column], _WEAK_RISE, _WEAK_RISE_WIDTH),
        _logistic_step(less, _WEAK_LESS, _WEAK_LESS_WIDTH),
    )
    off = _OFF_ANYWAY + _LOCKED_OUT * trips
    runs = 1 - off
    table = np.stack(
        [
            runs * (1 - trips) * (1 - weak),
            runs * (1 - trips) * weak,
            runs * trips,
            off,
        ],
        axis=1,
    )
    rejected = np.array([change.rejected.get(unit, 1.0) for change in changes])
    table[rejected == 0.0] = _UNIT_OFF
    return table
