"""The steps that an answer names next: to end the call, to take again, or to tell most."""

import numpy as np

from loop.curve import Array
from loop.diagnose import action_chances, actions
from loop.diagnose.belief import predicted
from loop.diagnose.ends import to_show
from loop.diagnose.gain import Gain
from loop.diagnose.groups import EVEN
from loop.diagnose.headline import fits_none
from loop.diagnose.judged import Judged
from loop.diagnose.left_there import mend
from loop.diagnose.never_together import SOUND
from loop.diagnose.next_reading import gains
from loop.diagnose.put_right import RESET, locked_out
from loop.diagnose.result import NextReading, Value
from loop.diagnose.step_order import harmless, lead_of, waits_first
from loop.diagnose.study import Study
from loop.words.had import Has
from loop.words.to_do import doing, with_hazard

# For so many of the likeliest causes is it said what a step would give.
LEADING = 4


def next_steps(call: Judged) -> tuple[NextReading, ...]:
    """What to read or do next, best first, with what each step would give under each cause."""
    study, rows = call.study, call.rows
    middle, _ = predicted(rows, study.mean, study.factor, study.noise)
    owner = study.owner[study.blamed(rows.origin, rows.now)]
    found: list[NextReading] = []
    for gain in _chosen(call):
        expected: dict[str, Value] = {}
        for instance in call.order[:LEADING]:
            some = owner == instance
            if some.any():
                expected[called(study, instance)] = _expected(call, gain, some, middle)
        found.append(_step(gain, expected, call.bench.has))
    return tuple(found)


def _chosen(call: Judged) -> tuple[Gain, ...]:
    ends = call.end
    if ends.done or ends.recurs or _sound(call):
        return ()
    first = _again(call) or _reset(call)
    if ends.unread and not first:
        first = to_show(call)
    keys = {gain.key for gain in first}
    return (*first, *(gain for gain in _left(call) if gain.key not in keys))


def _left(call: Judged) -> tuple[Gain, ...]:
    """The steps that mend what is left, end the call, or tell most of what it may be."""
    ends = call.end
    if ends.left:
        return tuple(filter(None, [mend(call.posterior, call.readings, ends.left)]))
    if (ends.unknown and not ends.goes_on) or ends.asks:
        return ends.asks
    posterior = call.posterior.still() if call.still_wrong else call.posterior
    left = gains(posterior, call.readings)
    if call.well() or call.water_is_right():
        lead = lead_of(call.posterior)
        left = tuple(gain for gain in left if harmless(gain, lead))
    return waits_first(left) if call.well() else left


def _sound(call: Judged) -> bool:
    """Whether water and warmth were read since, and speak for a loop with nothing wrong."""
    lead, speed = call.study.instances[call.order[0]].name, call.readings.under_way
    states = (call.readings, *call.readings.steps, *((speed,) if speed else ()))
    read = {key.partition(".")[0] for one in states for key in one.numbers}
    whole = "flow" in read and bool(read & {"outlet_temperature", "condensing_temperature"})
    return whole and lead == "healthy" and call.well()


def _reset(call: Judged) -> tuple[Gain, ...]:
    """The reset of a unit that is locked out still though the water is back, or none."""
    if call.end.left or not locked_out(call, call.better):
        return ()
    one = actions.BY_NAME[RESET]
    return (Gain(one.name, 0.0, 0.0, one.minutes, one.cost),)


def _again(call: Judged) -> tuple[Gain, ...]:
    """The readings to take again where no fault in the list fits.

    Two that contradict each other, or the one that fits worst.
    """
    lead = call.posterior.present(call.order[0])
    pair = call.contradiction
    seen = set(pair) <= call.holding.words.keys()
    doubted = pair and (call.right.over or SOUND in pair or seen)
    if not doubted and not fits_none(call.unknown, bool(call.misfit()), lead):
        return ()
    keys = pair or tuple(filter(None, [call.fits_worst()]))
    columns = {column.key: column for column in (*call.bench.columns, *call.bench.words)}
    return tuple(
        Gain(key, 0.0, 0.0, columns[key].kind.minutes, columns[key].kind.minutes, columns[key])
        for key in keys
    )


def _expected(call: Judged, gain: Gain, some: Array, middle: Array) -> Value:
    """What a step would most likely give under the rows `some` of the belief."""
    weight, now = call.weight[some] / call.weight[some].sum(), call.rows.now[some]
    if gain.column is None:
        action = actions.BY_NAME[gain.key]
        first = float(weight @ action_chances.chances(call.study, action).first[now])
        return action.answers[0 if first > 0.5 - EVEN else 1]
    if gain.column.kind.choices:
        away = gain.column is call.bench.at_speed
        study, key = (call.study.under_way, "stream") if away else (call.study, gain.key)
        chance = weight @ study.words[key][now]
        return gain.column.kind.choices[int(np.argmax(chance))]
    at = call.bench.at[gain.key]
    return float(call.study.natural(weight @ middle[some])[at])


def called(study: Study, instance: int) -> str:
    """The name under which a step's expectations stand: with its place where it has twins."""
    one = study.instances[instance]
    twins = [other for other in study.instances if other.name == one.name]
    return one.name if len(twins) == 1 else f"{one.name} ({one.where})"


def _step(gain: Gain, expected: dict[str, Value], has: Has) -> NextReading:
    """A gain as a step for a person."""
    answers: tuple[str, ...]
    if gain.column is None:
        row, action = doing(gain.key, has), actions.BY_NAME[gain.key]
        title, hazard, way, answers = row.title, row.hazard, row.how, action.answers
    else:
        kind = gain.column.kind
        title, hazard, way, answers = gain.column.ask, kind.hazard, kind.how, kind.choices
    return NextReading(
        reading=gain.key,
        kind="action" if gain.column is None else "reading",
        title=title,
        gain=gain.gain,
        minutes=gain.minutes,
        cost=gain.cost,
        cure=gain.cure,
        hazard=hazard,
        how=with_hazard(hazard, way),
        answers=answers,
        expected=expected,
    )
