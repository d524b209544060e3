"""The reading worth taking next: what it is expected to tell about the fault, per minute."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loop.curve import Array
from loop.diagnose.bayes import Posterior
from loop.diagnose.fault_effects import IntArray
from loop.diagnose.instruments import Column
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings
from loop.normal import normal_share

# Hypotheses that together weigh less than this are left out of the expectation.
_LEFT_OUT = 1e-3
_POINTS = 240


@dataclass(frozen=True)
class Gain:
    """What a reading is expected to tell: bits of information about the fault, and its minutes."""

    column: Column
    gain: float

    @property
    def per_minute(self) -> float:
        """Bits a minute."""
        return self.gain / self.column.kind.minutes


def gains(
    posterior: Posterior, readings: Readings, among: Sequence[int] | None = None
) -> tuple[Gain, ...]:
    """Expected information gain of every reading not yet taken, most a minute first.

    The mutual information of fault and reading [bits]: the entropy of the reading less its
    expected entropy once the fault is known (Lindley, Ann. Math. Statist. 27 (1956) 986). `among`
    restricts it to some instances: what would split these.
    """
    study = posterior.study
    weight, owner = _kept(posterior, among)
    rows = np.flatnonzero(weight)
    found = []
    for column in (*study.bench.columns, *study.bench.words):
        if column.key in readings.keys or (column.key == "flow" and "flow" in readings.keys):
            continue
        if column.kind.choices:
            chance = study.words[column.key][rows]
        else:
            chance = _as_chances(posterior, column, rows)
        found.append(Gain(column, _information(chance, weight[rows], owner[rows])))
    return tuple(sorted(found, key=lambda gain: -gain.per_minute))


def _kept(posterior: Posterior, among: Sequence[int] | None) -> tuple[Array, IntArray]:
    owner = posterior.study.owner
    weight = posterior.weight.copy()
    if among is not None:
        weight[~np.isin(owner, list(among))] = 0.0
    order = np.argsort(weight)
    light = np.cumsum(weight[order]) < _LEFT_OUT * weight.sum()
    weight[order[light]] = 0.0
    return weight / weight.sum(), owner


def _as_chances(posterior: Posterior, column: Column, rows: IntArray) -> Array:
    """Chance of each small interval of a numeric reading under each hypothesis, (rows, points)."""
    number = posterior.study.bench.at[column.key]
    mean = posterior.mean[rows, number]
    variance = np.maximum(posterior.covariance[rows, number, number], 0.0)
    kind = column.kind
    width = np.maximum(kind.absolute, kind.relative * np.abs(mean)) / TWO_SIGMA
    sigma = np.sqrt(variance + width**2)
    sigma = np.maximum(sigma, 1e-9 + 1e-6 * np.abs(mean))
    # Every hypothesis has points where it is likely, be it ever so sharp beside the others; rounded
    # to a quarter or half of its width, so that those which are alike share them.
    low, high = (mean - 4 * sigma).min(), (mean + 4 * sigma).max()
    own = mean[:, None] + sigma[:, None] * np.array([-1.5, -0.5, 0.5, 1.5])
    grain = 0.5 * 2.0 ** np.floor(np.log2(sigma))[:, None]
    own = (np.round(own / grain) * grain).ravel()
    edges = np.unique(np.concatenate([np.linspace(low, high, _POINTS), own]))
    points = np.concatenate([edges[:1] - (high - low), edges, edges[-1:] + (high - low)])
    below = normal_share((points - mean[:, None]) / sigma[:, None])
    return np.asarray(np.diff(below, axis=1))


def _information(chance: Array, weight: Array, owner: IntArray) -> float:
    """Mutual information [bits] of the owner and the answer."""
    owners = np.unique(owner)
    joint = np.stack([(weight[owner == o, None] * chance[owner == o]).sum(axis=0) for o in owners])
    total = joint.sum(axis=0)
    apart = joint.sum(axis=1)
    product = apart[:, None] * total
    ratio = np.divide(joint, product, out=np.ones_like(joint), where=(joint > 0) & (product > 0))
    return max(float((joint * np.log2(ratio)).sum()), 0.0)
