"""Readings, words and actions of a call, in their order → probabilities of faults."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cached_property

import numpy as np

from loop.curve import Array, IntArray
from loop.diagnose import action_chances, actions, belief, statements
from loop.diagnose.action import before_it_failed
from loop.diagnose.belief import TEMPER, Before, Belief
from loop.diagnose.instruments import Column
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import OF_THE_DAY, SEA, Readings, StepDone, Taken
from loop.diagnose.study import Study
from loop.records import dataclass

# Weights that differ by less than this share are the same but for rounding.
ALIKE = 1e-9
# Chances that agree to so many decimals are the same but for rounding.
SAME = 10
# How much less likely [nats] than the likeliest hypothesis one may be that is likely still: a
# twentieth; engineering estimate.
LIKELY = 3.0
# What the pump is fed.
_FED = ("supply", "frequency")
# How far the sea of a call lies below, and above, the job's [K] where that is not the trouble.
SEA_WIDTHS = (6.0, 1.0)


@dataclass(frozen=True)
class Seen:
    """A word as it was said last: after which action, and the choices that it means."""

    step: int
    choices: tuple[str, ...]


Last = Before | Seen


@dataclass(frozen=True)
class Posterior:
    """What a call leaves of every hypothesis of a study.

    weight : (h,), sums to 1, of the hypotheses that are to blame (`Study.blamed`): what is left, or
    what was put right. probability : (instances,), of each and nothing else. last : what was read
    last, by key, with the action that it came after. surprise : squared distance of the numbers
    from the nearest hypothesis of those that are likely, in standard deviations, and how many
    count.
    """

    study: Study
    belief: Belief
    weight: Array
    probability: Array
    last: Mapping[str, Last]
    surprise: tuple[float, int]

    def of(self, cause: int) -> tuple[IntArray, IntArray, Array]:
        """Rows that have a cause, alone or with another; which of theirs it is; weights, sum 1."""
        slot = self.study.slot[cause, self.study.owner]
        rows = np.flatnonzero(slot >= 0)
        weight = self.weight[rows]
        total = float(weight.sum())
        even = np.full(len(rows), 1.0 / len(rows))
        return rows, slot[rows], np.asarray(weight / total if total > 0 else even)

    def told_by(self, cause: int) -> tuple[IntArray, Array, int | None]:
        """Rows by which a cause is told, their weights, sum 1, and the cause beside it in them.

        Those that have it alone, None beside it, where they are half or more of what speaks for it:
        what another would read beside it is no sign of it. Else those of the likeliest pair.
        """
        rows, _, within = self.of(cause)
        owner = self.study.owner[rows]
        share = np.round(np.bincount(owner, within, len(self.study.instances)), SAME)
        shown = cause
        if share[cause] < 0.5:
            share[cause] = -1.0
            shown = int(share.argmax())
        kept = owner == shown
        weight = within[kept]
        total = float(weight.sum())
        weight = weight / total if total > 0 else np.full(len(weight), 1.0 / len(weight))
        pair = (one for one in self.study.causes if self.study.slot[one, shown] >= 0)
        return rows[kept], weight, next((one for one in pair if one != cause), None)

    def present(self, cause: int) -> float:
        """Probability that a cause is there, alone or with another."""
        return float(self.probability[self.study.slot[cause] >= 0].sum())

    def any_of(self, causes: Iterable[int]) -> float:
        """Probability that at least one of these causes is there."""
        return float(self.probability[(self.study.slot[list(causes)] >= 0).any(axis=0)].sum())

    def ranked(self) -> list[int]:
        """Every cause, the likeliest to be there first; those alike stay in order."""
        return list(self._ranked)

    @cached_property
    def _ranked(self) -> tuple[int, ...]:
        return tuple(sorted(self.study.causes, key=lambda i: -round(self.present(i), SAME)))

    def changed_since(self, step: int) -> float:
        """Probability that something done after the step of this number has changed the loop."""
        return round(float(self.belief.weight[self.belief.since > step].sum()), SAME)

    def still(self) -> "Posterior":
        """The same of the rows that show trouble still; itself where none does.

        For where trouble is read still after something was most likely put right: what is looked
        for is what is left.
        """
        shows = self.study.shows[self.belief.now]
        if not shows.any():
            return self
        left = belief.kept(self.belief, shows)
        weight = _blamed(self.study, left)
        return replace(self, belief=left, weight=weight, probability=_totals(self.study, weight))

    def rows(self, least: float = 0.0) -> tuple[Belief, Array]:
        """The belief's rows without the lightest, which together weigh `least`, and weights.

        Rows of one weight stay or go together, so that no rounding decides between them.
        """
        if least not in self._rows:
            weight = self.belief.weight
            rising = np.sort(weight)
            first = int(np.searchsorted(np.cumsum(rising), least))
            keep = weight >= rising[min(first, len(rising) - 1)] * (1 - ALIKE)
            left = weight[keep] / weight[keep].sum()
            self._rows[least] = belief.kept(self.belief, keep), left
        return self._rows[least]

    @cached_property
    def _rows(self) -> dict[float, tuple[Belief, Array]]:
        """What `rows` has found."""
        return {}


def posterior(study: Study, readings: Readings) -> Posterior:
    """The posterior of a study given a call; with nothing read, the prior.

    Readings that this loop cannot give are left out.
    """
    readings = readings.sea_first
    now = belief.begin(study.weight, study.factor.shape[2])
    for text in readings.said:
        now = belief.said(now, statements.chances(study, statements.BY_TEXT[text]))
    last: dict[str, Last] = {}
    void = before_it_failed(readings.steps)
    now = _taken(study, now, readings if not void else readings.of_the_day, last, 0)
    away = {key: one for key, one in last.items() if key == SEA}  # read last with the boat at speed
    now = _taken_away(study, now, readings, away, 0)
    for number, step in enumerate(readings.steps, 1):
        if not actions.BY_NAME[step.did].tells_nothing(readings.steps, number - 1):
            now = _done(study, now, step.did, step.saw, last, number)
        now = _taken(study, now, step if number >= void else step.of_the_day, last, number)
        now = _taken_away(study, now, step, away, number)
    weight = _blamed(study, now)
    probability = _totals(study, weight)
    count = sum(
        key in study.bench.at and key != SEA
        for one in (*(readings, *readings.steps)[void:], *_at_speed(readings))
        for key in one.numbers
    )
    nearest = float(now.far[now.log >= now.log.max() - LIKELY].min())
    return Posterior(study, now, weight, probability, last, (nearest, count))


def _taken_away(
    study: Study, now: Belief, state: Readings | StepDone, last: dict[str, Last], step: int
) -> Belief:
    """After what was read with the boat at speed, which is calculated only where something was."""
    return _taken(study.under_way, now, state.at_speed, last, step) if state.under_way else now


def _at_speed(readings: Readings) -> list[Taken]:
    return [one.at_speed for one in (readings, *readings.steps)]


def _blamed(study: Study, now: Belief) -> Array:
    """Weight of every hypothesis that is to blame, (h,)."""
    blamed = study.blamed(now.origin, now.now)
    return np.bincount(blamed, now.weight, minlength=len(study.owner)).astype(float)


def _totals(study: Study, weight: Array) -> Array:
    """Sum of the weights of each instance's rows, (instances,)."""
    return np.asarray(np.bincount(study.owner, weight, minlength=len(study.instances)), dtype=float)


def _taken(study: Study, now: Belief, taken: Taken, last: dict[str, Last], step: int) -> Belief:
    """After the numbers, the sea's first and then in the order of the columns, and the words.

    `last` is what was read before, to which this is added; `step` the number of actions done.
    """
    keys = [key for key in taken.numbers if key in study.bench.at]
    for key in sorted(keys, key=lambda k: (k != SEA, study.bench.at[k])):
        column, one = study.bench.at[key], taken.numbers[key]
        value, width = study.held(column, one.value, one.half_width / TWO_SIGMA)
        at = study.mean[:, column], study.factor[:, column], study.noise[:, column]
        before = last.get(key)
        first = key == SEA and before is None  # whenever that is: no action changes the sea
        log = _sea_likelihood(study, now, value, width) if first else None
        again = before if isinstance(before, Before) else None
        temper = temper_of(study.bench.columns[column])
        now = belief.measured(now, *at, value, width, log, again, temper)
        last[key] = Before(step, value, width)
    for key, word in taken.words.items():
        if key in study.words:
            kind = next(c.kind for c in study.bench.words if c.key == key)
            table = study.words[key]
            chance = sum(table[:, kind.choices.index(one)] for one in kind.meant(word))
            before = last.get(key)
            if isinstance(before, Seen):
                same = bool(set(kind.meant(word)) & set(before.choices))
                now = belief.seen(now, np.asarray(chance), before.step, same)
            else:
                now = belief.seen(now, np.asarray(chance))
            last[key] = Seen(step, kind.meant(word))
    return now


def _done(
    study: Study, now: Belief, did: str, saw: str, last: dict[str, Last], number: int
) -> Belief:
    """After an action: what it showed, and the rows that it may have cured."""
    action = actions.BY_NAME[did]
    found = action_chances.chances(study, action)
    before = last.pop(action.looks, None)
    if saw:
        chance = found.first if saw == action.answers[0] else 1.0 - found.first
        if isinstance(before, Seen):  # the same look again
            now = belief.seen(now, chance, before.step, saw in before.choices)
        else:
            now = belief.seen(now, chance)
    return belief.acted(now, found.cured(saw), study.after, study.behind, number)


def temper_of(column: Column) -> float:
    """τ of a reading's column: 1 where a meter reads what the fault itself is, volts and hertz.

    Neither a model of the loop nor a person's eye lies between, whose errors would go together.
    """
    return 1.0 if column.kind.name in _FED else TEMPER


def _sea_likelihood(study: Study, now: Belief, value: float, width: float) -> Array:
    """Log density (less that of 1/√2π) of the sea's temperature.

    Where a warm sea is no fault of the row, two halves of normals: much cooler than the job's is
    quite usual, warmer is not (engineering estimate).
    """
    column = study.bench.at[SEA]
    variance = (study.factor[now.now, column] ** 2).sum(axis=1) + study.noise[now.now, column]
    variance = variance + width**2
    apart = -0.5 * (value - study.mean[now.now, column]) ** 2 / variance - 0.5 * np.log(variance)
    above = value - prior_of_the_sea(study)
    cooler, warmer = SEA_WIDTHS[0], float(np.hypot(SEA_WIDTHS[1], width))
    sigma = warmer if above > 0 else cooler
    usual = float(np.log(2.0 / (warmer + cooler)) - 0.5 * (above / sigma) ** 2)
    return np.where(study.sea_set[now.now], apart, usual)


def prior_of_the_sea(study: Study) -> float:
    """The warmest sea that the loop was designed for [°C]."""
    return study.bench.job.water.temperature


def expected(study: Study, readings: Readings) -> Array:
    """Every reading [SI] to expect under each hypothesis on this day: (h, columns).

    Given only what is the day's and not the fault's: the sea's temperature and the supply.
    """
    now = belief.begin(study.weight, study.factor.shape[2])
    now = _taken(study, now, readings.only(OF_THE_DAY), {}, 0)
    f = np.einsum("hck,hk->hc", study.factor, now.x)
    return study.natural(study.mean + f)
