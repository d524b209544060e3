"""The belief over hypotheses, and its update by each observation or action.

This is the whole arithmetic of a diagnosis once its tables exist (`loop.diagnose.tables`): sums,
products, logarithms and exponentials over rows, so that another program with the tables gets the
same odds. Per row: x, the mean of the k factors (initially 0); P, their covariance (initially the
identity); the log weight. For a number y of variance w, where the row predicts m + f·x with noise
d:

    v = y − m − f·x;  S = f·P·f + d + w;  t = v²/S
    log weight −= ½ ln S + τ (ν + 1)/2 ln(1 + t/ν)
    g = P·f / (S max(1, (ν + t)/(ν + 1)));  x += g v;  P −= g (P·f)ᵀ

This is Bayes' rule for a normal reading (a Kalman update), tempered by τ, with Student t tails so
that one bad reading neither rules out a fault nor biases the others (Lange, Little & Taylor, J. Am.
Stat. Assoc. 84 (1989) 881). A word multiplies the weight by its likelihood. An action splits each
row in two: fault cured, and not.

A reading repeated in a row that no action has changed since shares the errors of boat, model and
person: it is expected to repeat its value, within both instruments' deviations, and gives no new
evidence about the row. For a word the likelihood is ρ for the same word plus 1 − ρ times the row's
own. So a second reading shows whether something changed. No action changes the sea: its first
reading counts before everything else, whenever it was taken.
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
# Exponent τ on a number's likelihood: errors of one boat and one person are more correlated than
# the model assumes (a power likelihood, as in Grünwald & van Ommen, Bayesian Analysis 12 (2017)
# 1069, from memory; the value is an engineering estimate).
TEMPER = 0.7
# When rows split, those below this share of the heaviest weight are dropped.
LEAST = 1e-9
# Probability ρ that a word is repeated where nothing has changed (engineering estimate).
REPEATS = 0.85
# Lower limit on the likelihood of a word under any hypothesis.
CHANCE_FLOOR = 1e-6
# By row: the rows that may remain once the first fault of its pair is fixed, and their log shares.
HiddenFaults = Mapping[int, tuple[IntArray, Array]]
# Lower limit on the probability that an action cures a row, or does not.
CURE_FLOOR = 1e-12


@dataclass(frozen=True)
class Belief:
    """n rows: ``origin``, hypothesis at the start of the call; ``now``, hypothesis at present;
    ``since``, number of the action that changed it last, 0 for none.

    log : (n,) log weight; x : (n, k) factor means; spread : (n, k, k) factor covariances; far :
    (n,) squared distance of the numbers from it [standard deviations²].
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
        """Normalized weights, (n,)."""
        found = np.exp(self.log - self.log.max())
        return np.asarray(found / found.sum())


_FIELDS = tuple(one.name for one in fields(Belief))


def prior_belief(weight: Array, factors: int) -> Belief:
    """The belief before any reading: the prior."""
    rows = np.arange(len(weight))
    with np.errstate(divide="ignore"):
        log = np.log(weight)
    spread = np.broadcast_to(np.eye(factors), (len(rows), factors, factors)).copy()
    never = np.zeros(len(rows), dtype=np.intp)
    return Belief(
        rows, rows, never, log, np.zeros((len(rows), factors)), spread, np.zeros(len(rows))
    )


@dataclass(frozen=True)
class LastNumber:
    """A reading as last taken: after which step, its value, its standard deviation."""

    step: int
    value: float
    width: float


def with_number(
    belief: Belief,
    mean: Array,
    factor: Array,
    noise: Array,
    value: float,
    width: Array | float,
    log: Array | None = None,
    before: LastNumber | None = None,
    temper: float = TEMPER,
) -> Belief:
    """Update with one number: `mean` (h,), `factor` (h, k), `noise` (h,); `width` is its deviation.

    `log` (n,) is the reading's log likelihood where it is not the default; `before` is the previous
    reading of the same key; `temper` is τ.
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


def with_word(
    belief: Belief,
    chance: Array,
    step: int | None = None,
    repeated: bool = False,
    at: IntArray | None = None,
) -> Belief:
    """Update with a word: `chance` (h,) is its likelihood under each current hypothesis.

    `step` is the one after which it was last observed, `repeated` whether the answer is the same.
    `at` (n,) are the hypotheses that it is about, where not the current ones.
    """
    own = chance[belief.now if at is None else at]
    if step is not None:
        again = REPEATS * repeated + (1 - REPEATS) * own
        own = np.where(belief.since <= step, again, own)
    return replace(belief, log=belief.log + np.log(np.maximum(own, CHANCE_FLOOR)))


def with_statement(belief: Belief, chance: Array) -> Belief:
    """Update with a fact about how the call began: `chance` (h,) under each original hypothesis."""
    return replace(belief, log=belief.log + np.log(np.maximum(chance[belief.origin], CHANCE_FLOOR)))


def with_action(
    belief: Belief, cure: Array, after: IntArray, behind: HiddenFaults, number: int
) -> Belief:
    """Update with the call's action of this number, from 1.

    It cures a row's first or second fault with probability `cure` (h, 2). A cured row becomes
    `after` (h, 2), or each of those in `behind` where its first fault hid the second; its position
    within the severity cells returns to the prior.
    """
    axes = cure.shape[1]  # one severity for each fault
    parts = [replace(belief, log=belief.log + _log(1 - cure[belief.now].sum(axis=1)))]
    for slot in range(axes):
        chance = cure[belief.now, slot]
        rows = np.flatnonzero(chance > 0)
        if not len(rows):
            continue
        at, left, share = rows_after_fix(belief.now[rows], after, behind, slot)
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
    return subset(whole, whole.log > whole.log.max() + np.log(LEAST))


def rows_after_fix(
    now: IntArray, after: IntArray, behind: HiddenFaults, slot: IntArray | int
) -> tuple[IntArray, IntArray, Array]:
    """The rows that remain of `now` (n,) once their first, or second, fault is fixed.

    Returns the index into `now`, the new row, and the log of its share, each (m,): one per row, or
    several where the first fault hid the second.
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


def subset(belief: Belief, rows: NDArray[Any]) -> Belief:
    """The rows of a belief selected by mask or index."""
    return Belief(*(getattr(belief, name)[rows] for name in _FIELDS))


def predictive(belief: Belief, mean: Array, factor: Array, noise: Array) -> tuple[Array, Array]:
    """Predictive mean and variance of every reading under each row, (n, c), given all evidence."""
    f = factor[belief.now]
    middle = mean[belief.now] + np.einsum("nck,nk->nc", f, belief.x)
    along = np.einsum("nck,nkl->ncl", f, belief.spread, optimize=True)
    return middle, np.einsum("ncl,ncl->nc", along, f) + noise[belief.now]


def _log(chance: Array) -> Array:
    return np.asarray(np.log(np.maximum(chance, CURE_FLOOR)))
