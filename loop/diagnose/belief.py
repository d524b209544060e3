"""What is believed of every hypothesis, and how each thing seen or done changes it.

This is the whole arithmetic of a diagnosis once its tables are there (`loop.diagnose.tables`):
sums, products, logarithms and exponentials over rows, so that another program that has the tables
gives the same odds. Per row: x, the mean of the k factors (0 at first); P, their covariance
(the unit matrix); the logarithm of the row's weight. A number y of variance w, whose row predicts
m + f·x with noise d:

    v = y − m − f·x;  S = f·P·f + d + w;  t = v²/S
    log weight −= ½ ln S + τ (ν + 1)/2 ln(1 + t/ν)
    g = P·f / (S max(1, (ν + t)/(ν + 1)));  x += g v;  P −= g (P·f)ᵀ

which is Bayes' rule for a normal reading (a Kalman update), tempered by τ, with the tails of
Student's t so that one bad reading neither condemns a fault nor drags the rest along (Lange, Little
& Taylor, J. Am. Stat. Assoc. 84 (1989) 881). A word multiplies the weight by its chance. An action
splits each row in two: the fault cured, and not.

What is read again, in a row that no action has changed since, is read with the same errors of boat,
model and person: it is expected to be what it was, within both instruments' deviations, and says
nothing new of the row; of a word the chance is ρ of the same and 1 − ρ of the row's own. So a
second reading tells whether something changed. The sea, which nothing done changes, is taken before
all else, whenever it was read first.
"""

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, IntArray
from loop.records import dataclass

# Degrees of freedom of the tails.
TAIL = 5.0
# What a number's distance counts against what its likelihood says: errors of one boat and one
# person go together more than a model has it (a power likelihood, as in Grünwald & van Ommen,
# Bayesian Analysis 12 (2017) 1069, from memory; the share is an engineering estimate).
TEMPER = 0.7
# A row whose weight falls below this share of the heaviest is dropped when rows split.
LEAST = 1e-9
# Share of the words that are said again where nothing has changed (engineering estimate).
REPEATS = 0.85
# The least chance of a word under any hypothesis.
CHANCE_FLOOR = 1e-6
# For a row, those that may be left once the first fault of its pair is fixed, and the logarithms of
# their shares.
Behind = Mapping[int, tuple[IntArray, Array]]
# The least chance that a row is cured, or not, by an action.
CURE_FLOOR = 1e-12


@dataclass(frozen=True)
class Belief:
    """n rows: ``origin``, the hypothesis as the call began; ``now``, the row that it is by now;
    ``since``, the number of the action that changed it last, 0 for none.

    log : (n,) logarithm of the weight; x : (n, k); spread : (n, k, k); far : (n,), squared
    distance of the numbers from it in standard deviations.
    """

    origin: IntArray
    now: IntArray
    since: IntArray
    log: Array
    x: Array
    spread: Array
    far: Array

    @property
    def weight(self) -> Array:
        """Weights that sum to 1, (n,)."""
        found = np.exp(self.log - self.log.max())
        return np.asarray(found / found.sum())


_FIELDS = tuple(one.name for one in fields(Belief))


def begin(weight: Array, factors: int) -> Belief:
    """The belief before anything is read."""
    rows = np.arange(len(weight))
    with np.errstate(divide="ignore"):
        log = np.log(weight)
    spread = np.broadcast_to(np.eye(factors), (len(rows), factors, factors)).copy()
    never = np.zeros(len(rows), dtype=np.intp)
    return Belief(
        rows, rows, never, log, np.zeros((len(rows), factors)), spread, np.zeros(len(rows))
    )


@dataclass(frozen=True)
class Before:
    """A reading as it was taken last: after which action, its value, its standard deviation."""

    step: int
    value: float
    width: float


def measured(
    belief: Belief,
    mean: Array,
    factor: Array,
    noise: Array,
    value: float,
    width: Array | float,
    log: Array | None = None,
    before: Before | None = None,
    temper: float = TEMPER,
) -> Belief:
    """After one number: `mean` (h,), `factor` (h, k), `noise` (h,) of it; `width` its deviation.

    `log` (n,) is the logarithm of the reading's likelihood where it is not the usual one;
    `before` is the same reading as it was taken before; `temper` is τ.
    """
    now = belief.now
    f = factor[now]
    along = np.einsum("nij,nj->ni", belief.spread, f)
    variance = np.einsum("ni,ni->n", f, along) + noise[now] + width**2
    variance = np.maximum(variance, 1e-30)
    off = value - mean[now] - np.einsum("ni,ni->n", f, belief.x)
    same = np.zeros(len(now), dtype=bool)
    if before is not None:
        same = belief.since <= before.step
        off = np.where(same, value - before.value, off)
        variance = np.where(same, width**2 + before.width**2, variance)
    far = off**2 / variance
    counted = log is None
    if log is None:
        log = -0.5 * np.log(variance) - temper * 0.5 * (TAIL + 1) * np.log1p(far / TAIL)
    gain = along / (variance * np.maximum(1.0, (TAIL + far) / (TAIL + 1)))[:, None]
    gain[same] = 0.0
    return replace(
        belief,
        log=belief.log + log,
        x=belief.x + gain * off[:, None],
        spread=belief.spread - gain[:, :, None] * along[:, None, :],
        far=belief.far + far if counted else belief.far,
    )


def seen(belief: Belief, chance: Array, step: int | None = None, repeated: bool = False) -> Belief:
    """After a word: `chance` (h,) of it under each hypothesis as it is now.

    `step` is that after which the same was looked at before, `repeated` whether it is as it was.
    """
    own = chance[belief.now]
    if step is not None:
        again = REPEATS * repeated + (1 - REPEATS) * own
        own = np.where(belief.since <= step, again, own)
    return replace(belief, log=belief.log + np.log(np.maximum(own, CHANCE_FLOOR)))


def said(belief: Belief, chance: Array) -> Belief:
    """After what is known of how the call began: `chance` (h,) under each original hypothesis."""
    return replace(belief, log=belief.log + np.log(np.maximum(chance[belief.origin], CHANCE_FLOOR)))


def acted(
    belief: Belief, cure: Array, after: IntArray, behind: Behind, number: int, axes: int = 2
) -> Belief:
    """After the call's action of this number, from 1.

    It cures a row's first or second fault with chance `cure` (h, 2). A cured row becomes `after`
    (h, 2), or each of those in `behind` where its first fault hid the second; its place within the
    severities' cells is free again.
    """
    parts = [replace(belief, log=belief.log + _log(1 - cure[belief.now].sum(axis=1)))]
    for slot in range(cure.shape[1]):
        chance = cure[belief.now, slot]
        rows = np.flatnonzero(chance > 0)
        if not len(rows):
            continue
        at, left, share = opened(belief.now[rows], after, behind, slot)
        rows = rows[at]
        x, spread = belief.x[rows].copy(), belief.spread[rows].copy()
        x[:, -axes:] = 0.0
        spread[:, -axes:, :] = 0.0
        spread[:, :, -axes:] = 0.0
        spread[:, -axes:, -axes:] = np.eye(axes)
        parts.append(
            Belief(
                belief.origin[rows],
                left,
                np.full(len(rows), number),
                belief.log[rows] + _log(chance[rows]) + share,
                x,
                spread,
                belief.far[rows],
            )
        )
    whole = Belief(*(np.concatenate([getattr(part, name) for part in parts]) for name in _FIELDS))
    return kept(whole, whole.log > whole.log.max() + np.log(LEAST))


def opened(
    now: IntArray, after: IntArray, behind: Behind, slot: IntArray | int
) -> tuple[IntArray, IntArray, Array]:
    """What is left of rows `now` (n,) once their first fault, or their second, is fixed.

    Returns the place in `now`, the row that it becomes, and the logarithm of its share, each (m,):
    one for each, or more where the first fault hid the second.
    """
    slots = np.broadcast_to(slot, now.shape)
    left, share = after[now, slots], np.zeros(len(now))
    hiding = np.flatnonzero((slots == 0) & np.isin(now, list(behind)))
    if not len(hiding):
        return np.arange(len(now)), left, share
    count = np.ones(len(now), dtype=np.intp)
    count[hiding] = [len(behind[row][0]) for row in now[hiding].tolist()]
    at = np.repeat(np.arange(len(now)), count)
    left, share, ends = left[at], share[at], np.cumsum(count)
    for place in hiding.tolist():
        own = slice(ends[place] - count[place], ends[place])
        left[own], share[own] = behind[int(now[place])]
    return at, left, share


def kept(belief: Belief, rows: NDArray[Any]) -> Belief:
    """Some rows of a belief, by mask or index."""
    return Belief(*(getattr(belief, name)[rows] for name in _FIELDS))


def predicted(belief: Belief, mean: Array, factor: Array, noise: Array) -> tuple[Array, Array]:
    """Mean and variance of every reading under each row, (n, c), given all that was read."""
    f = factor[belief.now]
    middle = mean[belief.now] + np.einsum("nck,nk->nc", f, belief.x)
    along = np.einsum("nck,nkl->ncl", f, belief.spread, optimize=True)
    return middle, np.einsum("ncl,ncl->nc", along, f) + noise[belief.now]


def _log(chance: Array) -> Array:
    return np.asarray(np.log(np.maximum(chance, CURE_FLOOR)))
