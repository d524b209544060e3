"""The best next step: expected information gain and cure per minute, including risk."""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose import action_probabilities, actions, belief, statements
from loop.diagnose.action import CallAction
from loop.diagnose.bayes import SEA_WIDTHS, design_sea_temperature
from loop.diagnose.instruments import Column
from loop.diagnose.posterior import LastWord, Posterior
from loop.diagnose.reading_kinds import (
    FETCHED,
    RULED_OUT,
    RULED_OUT_BY_ANY,
    RULED_OUT_BY_BOTH,
    SENT_FOR,
    TWO_SIGMA,
)
from loop.diagnose.readings import SEA, Readings
from loop.diagnose.step_order import SEEN_AT_SPEED, likely_faults, ranked, worthwhile
from loop.diagnose.step_value import StepValue
from loop.diagnose.study import LOG_OFFSET, Study
from loop.diagnose.valid_readings import ValidReadings, valid_readings
from loop.distinct import distinct

# Lightest hypotheses with this total weight are left out of the expectation.
LEFT_OUT = 1e-3
BINS = 96
# Coefficients of z and z³ in the logistic approximation of the normal distribution.
NORMAL_CDF = (1.5976, 0.070565992)


def step_values(
    posterior: Posterior,
    readings: Readings,
    among: Sequence[int] | None = None,
    only: str | None = None,
) -> tuple[StepValue, ...]:
    """Every available step, best per minute including risk first; with `only`, that one alone.

    The gain is the mutual information of fault and answer [bits]: the entropy of the answer minus
    its expected entropy given the fault (Lindley, Ann. Math. Statist. 27 (1956) 986). Includes
    readings that the tools at hand allow and no observation rules out, and actions that this loop
    has the parts for and that are left (`CallAction.is_open`). `among` restricts it to some causes,
    at least one of which must be in a significant row: the gain about which of them it is.
    """
    study = posterior.study
    rows, weight = posterior.rows(LEFT_OUT)
    owner = study.owner[study.blamed(rows.origin, rows.now)]
    if among is not None:
        having = study.slot[np.asarray(among)][:, owner] >= 0
        inside, which = np.asarray(having.any(axis=0)), having.argmax(axis=0)
        rows, weight, owner = belief.subset(rows, inside), weight[inside], which[inside]
        weight = weight / max(float(weight.sum()), 1e-300)
    middle, variance = belief.predictive(rows, study.mean, study.factor, study.noise)
    shares = (distinct(owner)[0][:, None] == owner) * weight
    found = []
    known = valid_readings(posterior, readings)
    for column in (*study.instruments.columns, *study.instruments.words):
        if only not in (None, column.key) or not _may_be_asked(study, column, readings, known):
            continue
        if column.kind.choices:
            chance = _answer_probabilities(posterior, column, rows)
        else:
            at = study.instruments.column_of[column.key]
            mean, spread = middle[:, at], variance[:, at]
            before = posterior.last.get(column.key)
            if isinstance(before, belief.LastNumber):  # repeated: expected unchanged
                same = rows.since <= before.step
                mean = np.where(same, before.value, mean)
                spread = np.where(same, before.width**2, spread)
            chance = _bin_probabilities(posterior, column, rows, mean, spread)
        bits = _mutual_information(chance, shares)
        minutes, fetched = column.kind.minutes, not _tool_available(column, readings, known)
        found.append(StepValue(column.key, bits, 0.0, minutes, minutes, column, fetched))
    away = study.instruments.at_speed
    if away is not None and only in (None, away.key) and _shows_at_speed(readings, known, away.key):
        chance = np.asarray(study.under_way.words[SEEN_AT_SPEED][rows.now])
        bits = _mutual_information(chance, shares)
        found.append(StepValue(away.key, bits, 0.0, away.kind.minutes, away.kind.minutes, away))
    there = [action for action in actions.available_actions(study) if only in (None, action.name)]
    found += _action_values(posterior, readings, known, there, rows, weight, shares)
    found = ranked(posterior, readings, known, found)
    if among is not None:
        return tuple(gain for gain in found if not gain.fetched)
    return tuple(worthwhile(posterior, readings, known, found))


def _shows_at_speed(readings: Readings, known: ValidReadings, key: str) -> bool:
    """Whether the customer reports it at speed, and no valid reading was taken there.

    Where none was ever taken there, only before the first action.
    """
    said = set(statements.AT_SPEED) & set(readings.said)
    read = any(one.at_speed.keys for one in (readings, *readings.steps))
    return bool(said) and key not in known.keys and (read or not readings.steps)


def _answer_probabilities(posterior: Posterior, column: Column, rows: belief.Belief) -> Array:
    """Probability of each answer of a qualitative reading under each row, (rows, answers)."""
    own = posterior.study.words[column.key][rows.now]
    before = posterior.last.get(column.key)
    if not isinstance(before, LastWord):
        return np.asarray(own)
    said = np.array([choice in before.choices for choice in column.kind.choices], dtype=float)
    again = belief.REPEATS * said / said.sum() + (1 - belief.REPEATS) * own
    return np.where((rows.since <= before.step)[:, None], again, own)


def _may_be_asked(study: Study, column: Column, readings: Readings, known: ValidReadings) -> bool:
    """Whether a reading may have changed, can be had, and is possible after what was seen."""
    if column.key in known.keys:
        return False
    if any(actions.BY_NAME[step.did].looks == column.key for step in readings.steps):
        return False
    had = column.kind.tool in FETCHED or _tool_available(column, readings, known)
    return had and not ruled_out(study, column.key, known)


def _tool_available(column: Column, readings: Readings, known: ValidReadings) -> bool:
    """Whether a reading's tool is at hand, or is sent for regardless of information gain."""
    return at_hand(column, readings) or any(
        key == column.key and known.all_answered([seen], answers) for key, seen, answers in SENT_FOR
    )


def at_hand(column: Column, readings: Readings) -> bool:
    """Whether a reading's tool is at hand."""
    return not column.kind.tool or readings.tools is None or column.kind.tool in readings.tools


def ruled_out(study: Study, step: str, known: ValidReadings) -> bool:
    """Whether observations rule a step out: on its own unit; on every unit where it has none."""
    name, _, own = step.partition(".")
    words = [column.key for column in study.instruments.words]
    words += [study.instruments.at_speed.key] if study.instruments.at_speed else []

    def seen(key: str, answers: tuple[str, ...]) -> bool:
        return known.all_answered(_observation_keys(words, key, own), answers)

    def one_has(key: str, answers: tuple[str, ...]) -> bool:
        return any(known.all_answered([one], answers) for one in _observation_keys(words, key, own))

    return (
        any(ruled == name and seen(key, answers) for ruled, key, answers in RULED_OUT)
        or any(ruled == name and one_has(key, some) for ruled, key, some in RULED_OUT_BY_ANY)
        or any(
            ruled == name and all(seen(*one) for one in both) for ruled, both in RULED_OUT_BY_BOTH
        )
    )


def _observation_keys(words: Sequence[str], key: str, own: str) -> list[str]:
    """The qualitative readings of a kind for one unit, or for the loop where `own` is empty."""
    return [w for w in words if w in (key, f"{key}.{own}") or (not own and w.startswith(key + "."))]


def _action_values(
    posterior: Posterior,
    readings: Readings,
    known: ValidReadings,
    there: Sequence[CallAction],
    rows: belief.Belief,
    weight: Array,
    shares: Array,
) -> list[StepValue]:
    study, now, likely = posterior.study, rows.now, likely_faults(posterior)
    shows = action_probabilities.cure_noticed(study)
    found = []
    for action in there:
        if not action.is_open(readings.steps, readings.said, likely):
            continue
        if ruled_out(study, action.name, known):
            continue
        one = action_probabilities.action_probabilities(study, action)
        about = study.blamed(rows.origin, now) if action.looks_back else now
        first, cure = one.first[about], one.cure[now]
        before = posterior.last.get(action.looks)
        if isinstance(before, LastWord):
            same = float(action.answers[0] in before.choices)
            again = belief.REPEATS * same + (1 - belief.REPEATS) * first
            first = np.where(rows.since <= before.step, again, first)
        after_first, after_second = ((c[now] * shows[now]).sum(axis=1) for c in one.cures)
        chance = np.stack(
            [
                first * after_first,
                first * (1 - after_first),
                (1 - first) * after_second,
                (1 - first) * (1 - after_second),
            ],
            axis=1,
        )
        bits = _mutual_information(chance, shares)
        cured = float(weight @ cure.sum(axis=1))  # noticed at once or not
        found.append(StepValue(action.name, bits, cured, action.minutes, action.cost))
    return found


def _bin_probabilities(
    posterior: Posterior, column: Column, rows: belief.Belief, mean: Array, variance: Array
) -> Array:
    """Probability of each bin of a numeric reading under each hypothesis, (rows, bins)."""
    study = posterior.study
    at, kind = study.instruments.column_of[column.key], column.kind
    natural = study.column_from_scale(at, mean)
    width = np.maximum(kind.absolute, kind.relative * np.abs(natural)) / TWO_SIGMA
    scale = float(study.scale[at])
    if scale > 0:
        width = width / (natural + LOG_OFFSET * scale)
    sigma = np.sqrt(np.maximum(variance, 0.0) + width**2)
    sigma = np.maximum(sigma, 1e-9 + 1e-6 * np.abs(mean))
    edges = np.linspace((mean - 3 * sigma).min(), (mean + 3 * sigma).max(), BINS)
    below = normal_cdf((edges - mean[:, None]) / sigma[:, None])
    if column.key == SEA and SEA not in posterior.last:
        below[~study.sea_set[rows.now]] = _sea_below(study, edges, kind.absolute / TWO_SIGMA)
    zero, one = np.zeros((len(mean), 1)), np.ones((len(mean), 1))
    return np.asarray(np.diff(np.concatenate([zero, below, one], axis=1), axis=1))


def _sea_below(study: Study, edges: Array, width: float) -> Array:
    """Probability that a sea that is not the fault reads below these edges, as it is weighed."""
    above = edges - design_sea_temperature(study)
    cooler, warmer = SEA_WIDTHS[0], float(np.hypot(SEA_WIDTHS[1], width))
    share = cooler / (cooler + warmer)
    beyond = share + (1 - share) * (2 * normal_cdf(above / warmer) - 1)
    return np.where(above > 0, beyond, 2 * share * normal_cdf(above / cooler))


def normal_cdf(z: Array) -> Array:
    """Standard normal distribution function, within 2e-4, by a logistic available in any language.

    Page, Applied Statistics 26 (1977) 75, from memory.
    """
    z = np.clip(z, -8.0, 8.0)
    return np.asarray(1.0 / (1.0 + np.exp(-z * (NORMAL_CDF[0] + NORMAL_CDF[1] * z * z))))


def _mutual_information(chance: Array, shares: Array) -> float:
    """Mutual information [bits] of owner and answer; `shares` is each owner's weight by row."""
    joint = shares @ chance
    total = joint.sum(axis=0)
    apart = joint.sum(axis=1)
    product = apart[:, None] * total
    ratio = np.divide(joint, product, out=np.ones_like(joint), where=(joint > 0) & (product > 0))
    return max(float((joint * np.log2(ratio)).sum()), 0.0)
