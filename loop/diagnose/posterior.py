"""The posterior of a call: what is present, how likely, and which hypotheses say so."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cached_property

import numpy as np

from loop.curve import Array, IntArray
from loop.diagnose import belief
from loop.diagnose.belief import Belief, LastNumber
from loop.diagnose.study import Study
from loop.records import dataclass

# Relative difference below which two weights are equal except for rounding.
WEIGHT_ROUNDING = 1e-9
# Decimals to which probabilities are compared, against rounding.
DECIMALS = 10


@dataclass(frozen=True)
class LastWord:
    """A word as last reported: after which step, and the choices that it means.

    ``renewed`` : whether an action has since made it obsolete, so that the same again is news.
    """

    step: int
    choices: tuple[str, ...]
    renewed: bool = False


Last = LastNumber | LastWord


@dataclass(frozen=True)
class Posterior:
    """The posterior over the hypotheses of a study, given a call.

    weight : (h,), sums to 1, by blamed hypothesis (`Study.blamed`): what is left, or what was
    fixed. probability : (instances,), of each alone. last : last reading or word by key, with the
    step that it followed. surprise : squared distance of the numbers [standard deviations²] from
    the nearest likely hypothesis, and how many numbers count.
    """

    study: Study
    belief: Belief
    weight: Array
    probability: Array
    last: Mapping[str, Last]
    surprise: tuple[float, int]

    def rows_with(self, cause: int) -> tuple[IntArray, IntArray, Array]:
        """Rows that contain a cause; its slot in each; their weights, which sum to 1."""
        slot = self.study.slot[cause, self.study.owner]
        rows = np.flatnonzero(slot >= 0)
        weight = self.weight[rows]
        total = float(weight.sum())
        even = np.full(len(rows), 1.0 / len(rows))
        return rows, slot[rows], np.asarray(weight / total if total > 0 else even)

    def representative_rows(self, cause: int) -> tuple[IntArray, Array, int | None]:
        """Rows that represent a cause, their weights (sum 1), and the other cause in them.

        The rows of the cause alone, with None beside it, where they have at least half of its
        weight: the readings of a second fault are no sign of the first. Otherwise those of its
        likeliest pair.
        """
        rows, _, within = self.rows_with(cause)
        owner = self.study.owner[rows]
        share = np.round(np.bincount(owner, within, len(self.study.instances)), DECIMALS)
        instance = cause
        if share[cause] < 0.5:
            share[cause] = -1.0
            instance = int(share.argmax())
        kept = owner == instance
        weight = within[kept]
        total = float(weight.sum())
        weight = weight / total if total > 0 else np.full(len(weight), 1.0 / len(weight))
        pair = (one for one in self.study.causes if self.study.slot[one, instance] >= 0)
        return rows[kept], weight, next((one for one in pair if one != cause), None)

    def present(self, cause: int) -> float:
        """Probability that a cause is present, alone or with another."""
        return float(self.probability[self.study.slot[cause] >= 0].sum())

    def any_of(self, causes: Iterable[int]) -> float:
        """Probability that at least one of these causes is present."""
        return float(self.probability[(self.study.slot[list(causes)] >= 0).any(axis=0)].sum())

    def ranked(self) -> list[int]:
        """Every cause in descending order of `present`; ties keep their order."""
        return list(self._ranked)

    @cached_property
    def _ranked(self) -> tuple[int, ...]:
        return tuple(sorted(self.study.causes, key=lambda i: -round(self.present(i), DECIMALS)))

    def changed_since(self, step: int) -> float:
        """Probability that an action after the step of this number has changed the loop."""
        return round(float(self.belief.weight[self.belief.since > step].sum()), DECIMALS)

    def cured_by(self, cause: int, step: int) -> bool:
        """Whether this cause, if it is to blame, was most likely cured by the step of this number.

        Or by one before it.
        """
        has, now = self.study.slot[cause] >= 0, self.belief.now
        blamed = has[self.study.owner[self.study.blamed(self.belief.origin, now)]]
        cured = blamed & ~has[self.study.owner[now]] & (self.belief.since <= step)
        weight = self.belief.weight
        return float(weight[cured].sum()) > 0.5 * float(weight[blamed].sum())

    def with_trouble(self) -> "Posterior":
        """The posterior restricted to rows that still show trouble; itself where none does.

        For trouble that persists after something was most likely fixed: the search is for what is
        left.
        """
        shows = self.study.shows[self.belief.now]
        if not shows.any():
            return self
        left = belief.subset(self.belief, shows)
        weight = blamed_weight(self.study, left)
        return replace(
            self, belief=left, weight=weight, probability=instance_weights(self.study, weight)
        )

    def rows(self, least: float = 0.0) -> tuple[Belief, Array]:
        """The belief without its lightest rows, which together weigh `least`, and the weights.

        Rows of equal weight are kept or dropped together, so that rounding does not choose between
        them.
        """
        if least not in self._rows:
            weight = self.belief.weight
            rising = np.sort(weight)
            first = int(np.searchsorted(np.cumsum(rising), least))
            keep = weight >= rising[min(first, len(rising) - 1)] * (1 - WEIGHT_ROUNDING)
            left = weight[keep] / weight[keep].sum()
            self._rows[least] = belief.subset(self.belief, keep), left
        return self._rows[least]

    @cached_property
    def _rows(self) -> dict[float, tuple[Belief, Array]]:
        """Cache of `rows`."""
        return {}


def blamed_weight(study: Study, now: Belief) -> Array:
    """Weight by blamed hypothesis, (h,)."""
    blamed = study.blamed(now.origin, now.now)
    return np.bincount(blamed, now.weight, minlength=len(study.owner)).astype(float)


def instance_weights(study: Study, weight: Array) -> Array:
    """Sum of the weights of each instance's rows, (instances,)."""
    return np.asarray(np.bincount(study.owner, weight, minlength=len(study.instances)), dtype=float)
