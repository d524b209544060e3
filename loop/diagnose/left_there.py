"""A fault that the actions bypassed or relieved without fixing: it is still to be fixed.

Running the pump from another supply, feeding it from a bucket or letting out air that a joint lets
in makes it run. That proves the fault; it does not fix it.
"""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose import actions, statements
from loop.diagnose.bayes import SAME, Posterior
from loop.diagnose.belief import Belief
from loop.diagnose.gain import Gain
from loop.diagnose.next_reading import ruled_out
from loop.diagnose.readings import Readings, StepDone
from loop.diagnose.standing import standing
from loop.diagnose.step_order import LEADS
from loop.diagnose.study import Study

# Faults of an AC pump's supply, by volts and by hertz; and the reading that separates them.
SUPPLY, HERTZ = ("supply-low", "generator-slow", "frequency-low"), "frequency"
# Least probability at which a fault that may remain is pursued (engineering estimate).
STILL = 0.1


def left_there(
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
                _found(study, fault, step, rows, weight)
                if action.only_finds(fault)
                else _quieted(study, fault, number, rows, weight)
            )
            mends = [
                after
                for after, other in enumerate(steps[number:], number + 1)
                if actions.BY_NAME[other.did].mends(fault)
            ]
            if mends and odds >= STILL:
                mended = max(mended, mends[0])
            elif not mends and odds >= most:
                left, most = fault, odds
    return left, mended


def _found(study: Study, fault: str, step: StepDone, rows: Belief, weight: Array) -> float:
    """Probability that this fault is present, where a step that only finds it has found it.

    0 below `LEADS`.
    """
    if step.saw != actions.BY_NAME[step.did].answers[0]:
        return 0.0
    has = np.zeros(len(study.owner), dtype=bool)
    has[study.having[fault][0] if fault in study.having else []] = True
    odds = round(float(weight[has[rows.now]].sum()), SAME)
    return odds if odds >= LEADS else 0.0


def _quieted(study: Study, fault: str, number: int, rows: Belief, weight: Array) -> float:
    """Probability that this fault was present and has not shown since the step of this number."""
    has = np.zeros(len(study.owner), dtype=bool)
    has[study.having[fault][0] if fault in study.having else []] = True
    quiet = has[rows.origin] & ~has[rows.now] & ~study.shows[rows.now] & (rows.since >= number)
    return round(float(weight[quiet].sum()), SAME)


def hertz_would_tell(readings: Readings, fault: str) -> bool:
    """Whether it is a fault of an AC supply, volts or generator, and nothing separates them yet."""
    read = any(HERTZ in one.numbers for one in (readings, *readings.steps))
    return fault in SUPPLY and not read and statements.ON_GENERATOR not in readings.said


def mend(posterior: Posterior, readings: Readings, fault: str) -> Gain | None:
    """The best fix of this fault per minute, including risk; None where none is left.

    What separates the faults that may be left comes first: the hertz before a governor is set or
    wiring traced, which hose it was before a hose is bought.
    """
    if HERTZ in posterior.study.bench.at and hertz_would_tell(readings, fault):
        column = posterior.study.bench.columns[posterior.study.bench.at[HERTZ]]
        return Gain(HERTZ, 0.0, 0.0, column.kind.minutes, column.kind.minutes, column)
    study, done = posterior.study, {step.did for step in readings.steps}
    known = standing(posterior, readings)
    for one in actions.here(study):
        if one.recalls and one.puts_right(readings.steps) and one.name not in done:
            return Gain(one.name, 0.0, 0.0, one.minutes, one.cost)
    able = [
        Gain(one.name, 0.0, one.mends(fault), one.minutes, one.cost)
        for one in actions.here(study)
        if one.mends(fault) and one.name not in done and one.may_follow(readings.steps, fault)
        if not ruled_out(study, one.name, known)
    ]
    return max(able, key=lambda gain: gain.cure / gain.cost, default=None)
