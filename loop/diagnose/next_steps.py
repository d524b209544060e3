"""The next steps in an answer: to end the call, to repeat, or to gain information."""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose import action_probabilities, actions
from loop.diagnose.action import WAITS
from loop.diagnose.belief import predictive
from loop.diagnose.call_end import WATER
from loop.diagnose.contradiction_laws import FLOW, SOUND, STREAM
from loop.diagnose.evaluated_call import EvaluatedCall
from loop.diagnose.fix_status import RESET, locked_out
from loop.diagnose.groups import EVEN
from loop.diagnose.headline import unlisted_leads
from loop.diagnose.information_gain import step_values
from loop.diagnose.reading_kinds import proves
from loop.diagnose.readings_since import verifying_reading
from loop.diagnose.remaining_fault import best_fix
from loop.diagnose.result import NextReading, Value
from loop.diagnose.step_order import (
    LEADS,
    harmless,
    is_hearsay,
    is_worthwhile,
    lead_of,
    wait_first,
)
from loop.diagnose.step_value import StepValue
from loop.diagnose.study import Study
from loop.words.had import Has
from loop.words.to_do import doing, with_hazard

# Equivalent readings of how warm the water leaves a unit.
HEAT = ("outlet_temperature", "condensing_temperature")
# Number of the likeliest causes for which a step's expected result is given; where these are alike,
# also the likeliest one that differs.
LEADING = 4


def next_steps(call: EvaluatedCall) -> tuple[NextReading, ...]:
    """What to read or do next, best first, with each step's expected result under each cause."""
    study, rows = call.study, call.rows
    middle, _ = predictive(rows, study.mean, study.factor, study.noise)
    owner = study.owner[study.blamed(rows.origin, rows.now)]
    found: list[NextReading] = []
    for gain in _selected(call):
        expected: dict[str, Value] = {}
        for place, instance in enumerate(call.order):
            if place >= LEADING and not _same_results(gain, list(expected.values())):
                break
            some = owner == instance
            if some.any():
                value = _expected(call, gain, some, middle)
                if place < LEADING or not _same_results(gain, [*expected.values(), value]):
                    expected[instance_label(study, instance)] = value
        found.append(_displayed_step(gain, expected, call.instruments.parts_present))
    return tuple(found)


def _selected(call: EvaluatedCall) -> tuple[StepValue, ...]:
    ends = call.end
    if ends.done or ends.recurs:
        return ()
    first = _to_repeat(call) or _reset(call)
    if ends.unread and not first:
        first = verifying_reading(call)
    keys, left = {gain.key for gain in first}, _open_steps(call)
    if not first and _shown_healthy(call, left):
        return ()
    return (*first, *(gain for gain in left if gain.key not in keys))


def _open_steps(call: EvaluatedCall) -> tuple[StepValue, ...]:
    """Steps that fix what is left, end the call, or gain most information."""
    ends = call.end
    if ends.left:
        return tuple(filter(None, [best_fix(call.posterior, call.readings, ends.left)]))
    if (ends.unknown and not ends.goes_on) or ends.asks:
        return ends.asks
    posterior = call.posterior.with_trouble() if call.still_wrong else call.posterior
    left = step_values(posterior, call.readings)
    well = call.well()
    if well or call.water_is_right():
        lead = lead_of(call.posterior)
        left = tuple(g for g in left if harmless(g, lead, well) and is_worthwhile(g, lead))
    return _revealing_first(call, wait_first(left)) if well else left


def _revealing_first(call: EvaluatedCall, left: tuple[StepValue, ...]) -> tuple[StepValue, ...]:
    """These steps, with those that show the loop's condition moved before the others.

    Except for a wait for the failure, and where the first step checks what only the customer
    reported.
    """
    if any(gain.key == WAITS for gain in left) or any(map(is_hearsay, left[:1])):
        return left
    shows = _not_yet_revealed(call, left)
    return (*shows, *(gain for gain in left if gain not in shows))


def _not_yet_revealed(call: EvaluatedCall, left: tuple[StepValue, ...]) -> list[StepValue]:
    """Those of these readings that show the loop's condition in a way that no other has.

    A measured flow replaces a look at the stream, and either temperature the other.
    """
    states = (call.readings, *call.readings.steps)
    read = {key for one in states for key in one.keys}
    measured = any(key.partition(".")[0] == FLOW for key in read)

    def is_seen(gain: StepValue) -> bool:
        of_unit = gain.key.removeprefix(gain.kind)
        hot = gain.kind in HEAT and any(f"{kind}{of_unit}" in read for kind in HEAT)
        return hot or (gain.kind in WATER and measured)

    return [one for one in left if one.column and proves(one.key) and not is_seen(one)]


def _shown_healthy(call: EvaluatedCall, left: tuple[StepValue, ...]) -> bool:
    """Whether water and heat were read as far as possible, and show a healthy loop."""
    states = (call.readings, *call.readings.steps)
    if not call.well() or not any(FLOW in key for one in states for key in one.numbers):
        return False
    lead = call.order[0]
    told = call.posterior.present(lead) >= LEADS
    if told and call.study.instances[lead].name != "healthy":
        return False
    return not any(map(is_hearsay, left)) and not _not_yet_revealed(call, left)


def _reset(call: EvaluatedCall) -> tuple[StepValue, ...]:
    """The reset of a unit that is still locked out though the water is back, or none."""
    if call.end.left or not locked_out(call, call.better):
        return ()
    one = actions.BY_NAME[RESET]
    return (StepValue(one.name, 0.0, 0.0, one.minutes, one.cost),)


def _to_repeat(call: EvaluatedCall) -> tuple[StepValue, ...]:
    """Readings to repeat where no listed fault fits.

    Two that contradict each other, or the one that fits worst.
    """
    lead = call.posterior.present(call.order[0])
    pair = call.contradiction
    seen = set(pair) <= call.holding.words.keys()
    doubted = pair and (call.fix.over or {SOUND, STREAM} & set(pair) or seen)
    if not doubted and not unlisted_leads(call.unknown, bool(call.misfit()), lead):
        return ()
    keys = pair or tuple(filter(None, [call.fits_worst()]))
    columns = {
        column.key: column for column in (*call.instruments.columns, *call.instruments.words)
    }
    return tuple(
        StepValue(key, 0.0, 0.0, columns[key].kind.minutes, columns[key].kind.minutes, columns[key])
        for key in keys
    )


def _expected(call: EvaluatedCall, gain: StepValue, some: Array, middle: Array) -> Value:
    """The likeliest result of a step under the belief rows `some`."""
    weight, now = call.weight[some] / call.weight[some].sum(), call.rows.now[some]
    if gain.column is None:
        action = actions.BY_NAME[gain.key]
        about = call.study.blamed(call.rows.origin[some], now) if action.looks_back else now
        first = float(
            weight @ action_probabilities.action_probabilities(call.study, action).first[about]
        )
        return action.answers[0 if first > 0.5 - EVEN else 1]
    if gain.column.kind.choices:
        away = gain.column is call.instruments.at_speed
        study, key = (call.study.under_way, "stream") if away else (call.study, gain.key)
        chance = weight @ study.words[key][now]
        return gain.column.kind.choices[int(np.argmax(chance))]
    at = call.instruments.column_of[gain.key]
    return float(call.study.from_scale(weight @ middle[some])[at])


def _same_results(gain: StepValue, values: Sequence[Value]) -> bool:
    """Whether a step's results are the same answer, or numbers within one half-width of it."""
    numbers = [value for value in values if not isinstance(value, str)]
    if not numbers or gain.column is None:
        return len({*values}) < 2
    return max(numbers) - min(numbers) <= gain.column.kind.half_width(numbers[0])


def instance_label(study: Study, instance: int) -> str:
    """Name of an instance in a step's expectations: with its site where its fault has several."""
    one = study.instances[instance]
    twins = [other for other in study.instances if other.name == one.name]
    return one.name if len(twins) == 1 else f"{one.name} ({one.where})"


def _displayed_step(gain: StepValue, expected: dict[str, Value], has: Has) -> NextReading:
    """A gain as a step to display."""
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
