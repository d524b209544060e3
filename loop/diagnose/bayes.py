"""Readings, words and actions of a call, in order → posterior probabilities of faults."""

from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.diagnose import action_probabilities, actions, belief, statements
from loop.diagnose.action import states_before_failure
from loop.diagnose.belief import TEMPER, Belief, LastNumber
from loop.diagnose.instruments import Column
from loop.diagnose.posterior import Last, LastWord, Posterior, blamed_weight, instance_weights
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import OF_THE_DAY, SEA, Readings, ReadingSet, StepDone
from loop.diagnose.study import Study

# A hypothesis counts as likely within this log-ratio [nats] of the likeliest, a factor of 20;
# engineering estimate.
LIKELY = 3.0
# Readings of the pump's electrical supply.
_ELECTRICAL = ("supply", "frequency")
# Standard deviations [K] of a call's sea temperature below and above the job's, where it is not the
# fault.
SEA_WIDTHS = (6.0, 1.0)


def posterior(study: Study, readings: Readings) -> Posterior:
    """The posterior of a study given a call; the prior where nothing was read.

    Ignores readings that this loop cannot give.
    """
    readings = readings.sea_first
    now = belief.prior_belief(study.weight, study.factor.shape[2])
    for text in readings.said:
        now = belief.with_statement(
            now, statements.statement_probabilities(study, statements.BY_TEXT[text])
        )
    if _nothing_at_speed(study, readings):
        unsaid = statements.statement_probabilities(
            study, statements.BY_TEXT[statements.AT_SPEED[0]]
        )
        now = belief.with_statement(now, 1.0 - unsaid)
    last: dict[str, Last] = {}
    void = states_before_failure(readings.steps)
    now = _with_readings(study, now, readings if not void else readings.of_the_day, last, 0)
    away = {key: one for key, one in last.items() if key == SEA}  # last readings at speed
    now = _with_readings_at_speed(study, now, readings, away, 0)
    for number, step in enumerate(readings.steps, 1):
        if not actions.BY_NAME[step.did].is_uninformative(readings.steps, number - 1):
            now = _with_action(study, now, step.did, step.saw, last, number)
        now = _with_readings(study, now, step if number >= void else step.of_the_day, last, number)
        now = _with_readings_at_speed(study, now, step, away, number)
    weight = blamed_weight(study, now)
    probability = instance_weights(study, weight)
    count = sum(
        key in study.instruments.column_of and key != SEA
        for one in (*(readings, *readings.steps)[void:], *_at_speed(readings))
        for key in one.numbers
    )
    nearest = float(now.far[now.log >= now.log.max() - LIKELY].min())
    return Posterior(study, now, weight, probability, last, (nearest, count))


def _with_readings_at_speed(
    study: Study, now: Belief, state: Readings | StepDone, last: dict[str, Last], step: int
) -> Belief:
    """Update with the readings at speed; that study is computed only where there are any."""
    return (
        _with_readings(study.under_way, now, state.at_speed, last, step) if state.under_way else now
    )


def _nothing_at_speed(study: Study, readings: Readings) -> bool:
    """Whether nobody says or sees that the trouble shows under way; most who have it say so."""
    if study.instruments.at_speed is None or set(statements.AT_SPEED) & set(readings.said):
        return False
    return not any(one.keys for one in _at_speed(readings))


def _at_speed(readings: Readings) -> list[ReadingSet]:
    return [one.at_speed for one in (readings, *readings.steps)]


def _with_readings(
    study: Study, now: Belief, taken: ReadingSet, last: dict[str, Last], step: int
) -> Belief:
    """Update with numbers, the sea first and then in column order, then with words.

    `last` holds the previous readings and is updated in place; `step` is the number of actions
    done.
    """
    keys = [key for key in taken.numbers if key in study.instruments.column_of]
    for key in sorted(keys, key=lambda k: (k != SEA, study.instruments.column_of[k])):
        column, one = study.instruments.column_of[key], taken.numbers[key]
        value, width = study.to_scale(column, one.value, one.half_width / TWO_SIGMA)
        at = study.mean[:, column], study.factor[:, column], study.noise[:, column]
        before = last.get(key)
        first = key == SEA and before is None  # at whatever step: no action changes the sea
        log = _sea_likelihood(study, now, value, width) if first else None
        again = before if isinstance(before, LastNumber) else None
        temper = tempering_exponent(study.instruments.columns[column])
        now = belief.with_number(now, *at, value, width, log, again, temper)
        last[key] = LastNumber(step, value, width)
    for key, word in taken.words.items():
        if key in study.words:
            kind = next(c.kind for c in study.instruments.words if c.key == key)
            table = study.words[key]
            chance = sum(table[:, kind.choices.index(one)] for one in kind.meant(word))
            before = last.get(key)
            same = isinstance(before, LastWord) and bool(
                set(kind.meant(word)) & set(before.choices)
            )
            if isinstance(before, LastWord) and not (same and before.renewed):
                now = belief.with_word(now, np.asarray(chance), before.step, same)
            else:
                now = belief.with_word(now, np.asarray(chance))
            last[key] = LastWord(step, kind.meant(word))
    return now


def _with_action(
    study: Study, now: Belief, did: str, saw: str, last: dict[str, Last], number: int
) -> Belief:
    """Update with an action: its answer, then the split into cured and uncured rows."""
    action = actions.BY_NAME[did]
    found = action_probabilities.action_probabilities(study, action)
    before = last.pop(action.looks, None)
    for key, one in last.items():
        if isinstance(one, LastWord) and key.partition(".")[0] in action.renewed(saw):
            last[key] = replace(one, renewed=True)
    if saw:
        chance = found.first if saw == action.answers[0] else 1.0 - found.first
        if isinstance(before, LastWord):  # the same observation repeated
            now = belief.with_word(now, chance, before.step, saw in before.choices)
        else:
            past = study.blamed(now.origin, now.now) if action.looks_back else now.now
            now = belief.with_word(now, chance, at=past)
    return belief.with_action(now, found.cured(saw), study.after, study.behind, number)


def tempering_exponent(column: Column) -> float:
    """Tempering exponent τ of a column: 1 for volts and hertz, which measure the fault itself.

    Neither a loop model nor a human eye, whose errors are correlated, comes in between.
    """
    return 1.0 if column.kind.name in _ELECTRICAL else TEMPER


def _sea_likelihood(study: Study, now: Belief, value: float, width: float) -> Array:
    """Log likelihood of the sea temperature, up to the constant ln(1/√2π).

    Where a warm sea is no fault of the row, a split normal about the job's: much cooler is usual,
    warmer is not (engineering estimate).
    """
    column = study.instruments.column_of[SEA]
    variance = (study.factor[now.now, column] ** 2).sum(axis=1) + study.noise[now.now, column]
    variance = variance + width**2
    apart = -0.5 * (value - study.mean[now.now, column]) ** 2 / variance - 0.5 * np.log(variance)
    above = value - design_sea_temperature(study)
    cooler, warmer = SEA_WIDTHS[0], float(np.hypot(SEA_WIDTHS[1], width))
    sigma = warmer if above > 0 else cooler
    usual = float(np.log(2.0 / (warmer + cooler)) - 0.5 * (above / sigma) ** 2)
    return np.where(study.sea_set[now.now], apart, usual)


def design_sea_temperature(study: Study) -> float:
    """Warmest sea that the loop is designed for [°C]."""
    return study.instruments.job.water.temperature


def expected_readings(study: Study, readings: Readings) -> Array:
    """Every expected reading [SI] under each hypothesis on this day: (h, columns).

    Conditioned only on what belongs to the day and not to the fault: sea temperature and supply.
    """
    now = belief.prior_belief(study.weight, study.factor.shape[2])
    now = _with_readings(study, now, readings.only(OF_THE_DAY), {}, 0)
    f = np.einsum("hck,hk->hc", study.factor, now.x)
    return study.from_scale(study.mean + f)
