"""A fault that the actions bypassed or relieved without fixing: it is still to be fixed.

Running the pump from another supply, feeding it from a bucket or letting out air that a joint lets
in makes it run. That proves the fault; it does not fix it.
"""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose import actions, statements
from loop.diagnose.belief import Belief
from loop.diagnose.information_gain import ruled_out
from loop.diagnose.posterior import DECIMALS, Posterior
from loop.diagnose.readings import Readings, StepDone
from loop.diagnose.step_order import LEADS
from loop.diagnose.step_value import StepValue
from loop.diagnose.study import Study
from loop.diagnose.valid_readings import valid_readings

# Faults of an AC pump's supply, by volts and by hertz; and the reading that separates them.
SUPPLY, HERTZ = ("supply-low", "generator-slow", "frequency-low"), "frequency"
# Least probability at which a fault that may remain is pursued (engineering estimate).
STILL = 0.1


def remaining_fault(
    study: Study, steps: Sequence[StepDone], rows: Belief, weight: Array
) -> tuple[str, int]:
    """The likeliest fault still to be fixed, and the last fix of one that was only relieved before.

    A fault's name, "" for none, and the number of a step, from 1, 0 for none; from the belief's
    `rows` with `weight`.
    """
    left, mended, most = "", 0, STILL
    for number, step in enumerate(steps, 1):
        action = actions.BY_NAME[step.did]
        for fault in action.leaves:
            odds = (
                _found_present(study, fault, step, rows, weight)
                if action.only_finds(fault)
                else _relieved(study, fault, number, rows, weight)
            )
            mends = [
                after
                for after, other in enumerate(steps[number:], number + 1)
                if actions.BY_NAME[other.did].cure_probability(fault)
            ]
            if mends and odds >= STILL:
                mended = max(mended, mends[0])
            elif not mends and odds >= most:
                left, most = fault, odds
    return left, mended


def _found_present(study: Study, fault: str, step: StepDone, rows: Belief, weight: Array) -> float:
    """Probability that this fault is present, where a step that only finds it has found it.

    0 below `LEADS`.
    """
    if step.saw != actions.BY_NAME[step.did].answers[0]:
        return 0.0
    has = np.zeros(len(study.owner), dtype=bool)
    has[study.rows_by_fault[fault][0] if fault in study.rows_by_fault else []] = True
    odds = round(float(weight[has[rows.now]].sum()), DECIMALS)
    return odds if odds >= LEADS else 0.0


def _relieved(study: Study, fault: str, number: int, rows: Belief, weight: Array) -> float:
    """Probability that this fault was present and has not shown since the step of this number."""
    has = np.zeros(len(study.owner), dtype=bool)
    has[study.rows_by_fault[fault][0] if fault in study.rows_by_fault else []] = True
    quiet = has[rows.origin] & ~has[rows.now] & ~study.shows[rows.now] & (rows.since >= number)
    return round(float(weight[quiet].sum()), DECIMALS)


def frequency_would_separate(readings: Readings, fault: str) -> bool:
    """Whether it is a fault of an AC supply, volts or generator, and nothing separates them yet."""
    read = any(HERTZ in one.numbers for one in (readings, *readings.steps))
    return fault in SUPPLY and not read and statements.ON_GENERATOR not in readings.said


def best_fix(posterior: Posterior, readings: Readings, fault: str) -> StepValue | None:
    """The best fix of this fault per minute, including risk; None where none is left.

    What separates the faults that may be left comes first: the hertz before a governor is set or
    wiring traced, which hose it was before a hose is bought.
    """
    if HERTZ in posterior.study.instruments.column_of and frequency_would_separate(readings, fault):
        column = posterior.study.instruments.columns[posterior.study.instruments.column_of[HERTZ]]
        return StepValue(HERTZ, 0.0, 0.0, column.kind.minutes, column.kind.minutes, column)
    study, done = posterior.study, {step.did for step in readings.steps}
    known = valid_readings(posterior, readings)
    for one in actions.available_actions(study):
        if one.recalls and one.fixes_a_finding(readings.steps) and one.name not in done:
            return StepValue(one.name, 0.0, 0.0, one.minutes, one.cost)
    able = [
        StepValue(one.name, 0.0, one.cure_probability(fault), one.minutes, one.cost)
        for one in actions.available_actions(study)
        if one.cure_probability(fault)
        and one.name not in done
        and one.may_follow(readings.steps, (fault,))
        if not ruled_out(study, one.name, known)
    ]
    return max(able, key=lambda gain: gain.cure / gain.cost, default=None)
