"""A fault that what was done went round or quieted, and did not mend: it is still to be put right.

Who runs the pump from another supply, feeds it from a bucket or lets out air that a joint lets in
sees that it runs. That proves the fault; it does not mend it.
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

# What swings with the volts at a pump that runs on AC, and with its hertz; and what tells which.
SUPPLY, HERTZ = ("supply-low", "generator-slow"), "frequency"
# From this probability on a fault is looked for that may be there still (engineering estimate).
STILL = 0.1


def left_there(
    study: Study, steps: Sequence[StepDone], rows: Belief, weight: Array
) -> tuple[str, int]:
    """The likeliest fault that is still to be put right, and the last mend of one that was.

    A fault's name, "" for none, and the number of a step, from 1, 0 for none; of a belief's rows,
    so weighed.
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
    """Probability that this fault is there, where a step that only finds it has found it."""
    if step.saw != actions.BY_NAME[step.did].answers[0]:
        return 0.0
    has = np.zeros(len(study.owner), dtype=bool)
    has[study.having[fault][0] if fault in study.having else []] = True
    odds = round(float(weight[has[rows.now]].sum()), SAME)
    return odds if odds >= LEADS else 0.0


def _quieted(study: Study, fault: str, number: int, rows: Belief, weight: Array) -> float:
    """Probability that this fault was there, and shows no more since the step of this number."""
    has = np.zeros(len(study.owner), dtype=bool)
    has[study.having[fault][0] if fault in study.having else []] = True
    quiet = has[rows.origin] & ~has[rows.now] & ~study.shows[rows.now] & (rows.since >= number)
    return round(float(weight[quiet].sum()), SAME)


def hertz_would_tell(readings: Readings, fault: str) -> bool:
    """Whether it may be the volts or the generator of an AC supply, and nothing tells which."""
    read = any(HERTZ in one.numbers for one in (readings, *readings.steps))
    return fault in SUPPLY and not read and statements.ON_GENERATOR not in readings.said


def mend(posterior: Posterior, readings: Readings, fault: str) -> Gain | None:
    """The step that mends this fault soonest for its minutes and risk; None where none is left.

    Before a governor is set or a wire sought, the hertz that tell which.
    """
    if HERTZ in posterior.study.bench.at and hertz_would_tell(readings, fault):
        column = posterior.study.bench.columns[posterior.study.bench.at[HERTZ]]
        return Gain(HERTZ, 0.0, 0.0, column.kind.minutes, column.kind.minutes, column)
    study, done = posterior.study, {step.did for step in readings.steps}
    known = standing(posterior, readings)
    able = [
        Gain(one.name, 0.0, one.mends(fault), one.minutes, one.cost)
        for one in actions.here(study)
        if one.mends(fault) and one.name not in done and one.may_follow(readings.steps, fault)
        if not ruled_out(study, one.name, known)
    ]
    return max(able, key=lambda gain: gain.cure / gain.cost, default=None)
