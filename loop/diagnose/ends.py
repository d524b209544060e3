"""What a call still requires before it ends as fixed, once the trouble is over for now.

In order: something was read since; the fault is fixed, not only relieved or bypassed; the loop as
built does not bring it back; the reason is known where something that failed was only restarted or
filled; and what was wrong, and each unit where a unit was affected, has since read as in a healthy
loop.
"""

from collections.abc import Iterator
from dataclasses import replace

from loop.curve import Array
from loop.diagnose import actions, statements
from loop.diagnose.action import CallAction
from loop.diagnose.as_built import keeps_air
from loop.diagnose.belief import Belief
from loop.diagnose.gain import Gain
from loop.diagnose.left_there import left_there
from loop.diagnose.next_reading import at_hand, ruled_out
from loop.diagnose.put_right import (
    ENOUGH,
    OVER,
    STOPPED,
    PutRight,
    beside,
    read_since,
    unread,
)
from loop.diagnose.reading_kinds import KINDS, UNDER_WAY, proves
from loop.diagnose.readings import StepDone
from loop.diagnose.reasons import Reasons
from loop.diagnose.standing import standing
from loop.diagnose.statements import AT_SPEED, COMES_LATER
from loop.diagnose.why_it_failed import THEN, Then, Want
from loop.records import dataclass

# Statements about a unit that stops on high pressure.
TRIPS = ("high-pressure fault", "trips at noon only")
# Actions that let out air, which returns where the loop as built traps it.
LETS_AIR_OUT = ("bleed", "loosen-outlet-hose", "prime", "fill-and-purge", "feed-from-bucket")
# Actions that shift water between units: each unit is checked afterwards.
OF_ALL_UNITS = ("close-other-units", "set-branch-valves", "open-branch-valves")
WATER = ("stream", "flow")
# The action that reveals what an hour of running brings on.
RUNS = "run-until-it-fails"
OF_A_UNIT = ("unit", "condensing_temperature")


@dataclass(frozen=True)
class End:
    """How a call that is over for now ends, or what it still requires.

    ``over`` : whether the trouble is over for now, as far as was read. ``unread`` : the action
    after which nothing was read. ``left`` : the fault that was only relieved. ``recurs`` : whether
    the loop as built brings it back. ``unknown`` : the step of `THEN` whose reason is not known;
    ``watch`` the key of the text on what to do where nothing at hand can show it; ``goes_on``
    whether the readings taken for it show trouble, whose cause the call then seeks.
    ``asks`` : the readings and steps that would end it, where available.
    ``done`` : whether it is fixed and fully verified.
    """

    over: bool = False
    unread: str = ""
    left: str = ""
    recurs: bool = False
    unknown: str = ""
    watch: str = ""
    goes_on: bool = False
    asks: tuple[Gain, ...] = ()
    done: bool = False


def end(call: Reasons, right: PutRight, rows: Belief, weight: Array) -> End:
    """The end of a call, from what was put right and the belief's `rows` with `weight`."""
    study, steps = call.study, call.readings.steps
    over = read_since(call, right) and not call.misfit()
    left, mended = left_there(study, steps, rows, weight)
    if not over:
        found = any(left in one.leaves and one.only_finds(left) for one in map(_action, steps))
        return End(left=left) if found and not call.misfit() else End(unread=unread(call, right))
    then = [
        (number, one)
        for number, one in _followed(call, right.by)
        if not one.only or beside(study, one.only, rows, weight) < OVER
    ]
    by = max([right.by, mended, *(_done_by(steps, number, one) for number, one in then)])
    if not any(one.everywhere for one in steps[by - 1 :]):
        return End(over, unread=steps[by - 1].did)
    if left:
        return End(over, left=left)
    if steps[right.by - 1].did in LETS_AIR_OUT and keeps_air(study):
        return End(over, recurs=True)
    shown = _Shown(call, max([by, *_of_all_units(steps)]))
    reasons = [(number, want) for number, one in then for want in _spread(call, one)]
    missing = [(number, want) for number, want in reasons if not shown.has(want)]
    proofs = [want for want in dict.fromkeys(_proofs(call, right.by)) if not shown.has(want)]
    asks = shown.asks([want for _, want in missing] + proofs)
    if missing:
        odd = not asks and any(shown.is_odd(want) for _, want in missing)
        did = steps[missing[0][0] - 1].did
        return End(over, unknown=did, watch=THEN[did].watch, goes_on=odd, asks=asks)
    unseen = next((steps[number - 1].did for number, one in then if one.well), "")
    if unseen:
        later = bool(set(call.readings.said) & set(COMES_LATER)) and not shown.has((RUNS,))
        runs = shown.asks([(RUNS,)]) if later else ()
        return End(over, unknown=unseen, watch=THEN[unseen].well, asks=runs or asks)
    if not (asks or proofs) and not _news(call, right.by, by):
        asks = shown.asks([_not_known_well(call, right.by)])
        return End(over, asks=asks, done=shown.well and not asks)
    return End(over, asks=asks, done=not proofs and shown.well)


def _followed(call: Reasons, by: int) -> Iterator[tuple[int, Then]]:
    """The steps of `THEN` that fixed it or found what they look for, by number."""
    said = set(call.readings.said)
    for number, step in enumerate(call.readings.steps, 1):
        then = THEN.get(step.did)
        found = number == by or step.saw == _action(step).answers[0]
        if then is None or not found:
            continue
        if then.again and _ran_between(call, then, number):
            yield number, replace(then, wants=then.again)
        elif not said & set(then.told):
            yield number, then


def _ran_between(call: Reasons, then: Then, number: int) -> bool:
    """Whether the same was found before this step, and the water ran well in between."""
    before = call.readings.steps[: number - 1]
    same = [THEN.get(one.did) is then and one.saw == _action(one).answers[0] for one in before]
    first = same.index(True) if any(same) else len(before)
    return any(one.words.get("stream") in ENOUGH for one in before[first:])


def _action(step: StepDone) -> CallAction:
    return actions.BY_NAME[step.did]


def _done_by(steps: tuple[StepDone, ...], after: int, then: Then) -> int:
    """Number of the last later step that it wants, 0 for none."""
    wanted = {name for want in then.wants for name in want}
    return max(
        (n for n, one in enumerate(steps, 1) if n > after and {one.did, one.line} & wanted),
        default=0,
    )


def _of_all_units(steps: tuple[StepDone, ...]) -> list[int]:
    return [number for number, one in enumerate(steps, 1) if one.did in OF_ALL_UNITS]


def _usual(call: Reasons, first: int, last: int | None) -> dict[str, bool]:
    """Whether the last reading of each key in these states of the loop was usual."""
    keys = {*call.bench.at, *call.study.words}
    found: dict[str, bool] = {}
    for one in (call.readings, *call.readings.steps)[first:last]:
        renewed = actions.BY_NAME[one.did].renewed(one.saw) if isinstance(one, StepDone) else ()
        found = {key: well for key, well in found.items() if key.partition(".")[0] not in renewed}
        found |= {k: call.usual(call.study, one.alone(k)) for k in one.keys if k in keys}
        away = one.at_speed
        found |= {
            f"{UNDER_WAY}{k}": call.usual(call.study.under_way, away.alone(k))
            for k in away.keys
            if k in keys
        }
    return found


def _news(call: Reasons, put_right: int, by: int) -> bool:
    """Whether anything shows the fix that was not already known to be normal before."""
    before = _usual(call, 0, put_right)
    return any(proves(key) and not before.get(key) for key in _usual(call, by, None))


def _not_known_well(call: Reasons, put_right: int) -> Want:
    """What would show the fix and was not known to be normal before, the quickest first."""
    before = _usual(call, 0, put_right)
    return tuple(one for one in _quickest(call) if not before.get(one))


def _quickest(call: Reasons) -> Want:
    """Readings that show whether a loop is right again, the quickest first."""
    shows = [one for one in (*call.bench.columns, *call.bench.words) if proves(one.key)]
    return tuple(one.key for one in sorted(shows, key=lambda one: one.kind.minutes))


def _proofs(call: Reasons, by: int) -> Iterator[Want]:
    """What to verify: readings that were wrong before the fix; each unit, where one was affected;
    and the stream at speed, where it was reported or read as wrong.
    """
    columns = (*call.bench.columns, *call.bench.words)
    before = _usual(call, 0, by)
    ill = [key for key, well in before.items() if not well and proves(key)]
    units = [key for key in call.study.words if key.partition(".")[0] == OF_A_UNIT[0]]
    steps = {step.did for step in call.readings.steps}
    said = set(call.readings.said)
    of_units = len(units) > 1 and (
        any("." in key for key in ill) or statements.ONE_UNIT in said or steps & set(OF_ALL_UNITS)
    )
    if of_units or said & set(TRIPS):
        yield from (_of_unit(key) for key in units)
    away = call.bench.at_speed
    at_speed = said & set(AT_SPEED) or any(key.startswith(UNDER_WAY) for key in ill)
    if away is not None and at_speed:
        yield (away.key,)
    for key in (column.key for column in columns if column.key in ill):
        yield _of_water(call, ill) if key in WATER else _of_unit(key) if key in units else (key,)


def _of_water(call: Reasons, ill: list[str]) -> Want:
    """What verifies the water; a look does not replace a bucket that had read too little."""
    measured = [one for one in call.bench.columns if one.key in WATER and one.key in ill]
    return tuple(one.key for one in measured if at_hand(one, call.readings)) or WATER


def _of_unit(key: str) -> Want:
    """Keys that show whether a unit runs as it should, from its state's key."""
    return tuple(kind + key.removeprefix(OF_A_UNIT[0]) for kind in OF_A_UNIT)


def _spread(call: Reasons, then: Then) -> Iterator[Want]:
    """Its wants by key; per-unit readings for each unit that stopped, or for every unit."""
    several = [unit.name for unit in call.bench.units if len(call.bench.units) > 1]
    stopped = {
        key.partition(".")[2]
        for one in (call.readings, *call.readings.steps)
        for key, word in one.words.items()
        if key.partition(".")[0] == OF_A_UNIT[0] and word in STOPPED
    }
    for want in then.wants:
        if several and any(kind in KINDS and KINDS[kind].per_unit for kind in want):
            for unit in [name for name in several if name in stopped] or several:
                yield tuple(f"{kind}.{unit}" for kind in want)
        else:
            yield want


class _Shown:
    """Readings since a step, and what may still be asked for."""

    def __init__(self, call: Reasons, by: int) -> None:
        self.call = call
        self.usual = _usual(call, by, None)
        steps = call.readings.steps
        self.did = {name for step in steps for name in (step.did, step.line)}

    @property
    def well(self) -> bool:
        """Whether every reading that shows the loop's condition is usual."""
        return all(well for key, well in self.usual.items() if proves(key))

    def has(self, want: Want) -> bool:
        """Whether one of these was done, or was read as usual."""
        return any(key in self.did or self.usual.get(key, False) for key in want)

    def is_odd(self, want: Want) -> bool:
        """Whether one of these was read, and none as usual."""
        return not self.has(want) and bool(set(want) & self.usual.keys())

    def asks(self, wants: list[Want]) -> tuple[Gain, ...]:
        """For each want that was not read yet, the first that is at hand; no duplicates."""
        found = [self._ask(want) for want in wants if not set(want) & self.usual.keys()]
        return tuple({one.key: one for one in found if one is not None}.values())

    def _ask(self, want: Want) -> Gain | None:
        study, readings = self.call.study, self.call.readings
        known = standing(self.call.posterior, readings)
        able = [
            Gain(one.key, 0.0, 0.0, one.kind.minutes, one.kind.minutes, one)
            for one in filter(
                None, (*study.bench.columns, *study.bench.words, study.bench.at_speed)
            )
            if one.key in want and at_hand(one, readings)
        ] + [
            Gain(one.name, 0.0, 0.0, one.minutes, one.cost)
            for one in actions.here(study)
            if one.name in want and one.may_follow(readings.steps)
        ]
        able = [one for one in able if not ruled_out(study, one.key, known)]
        return min(able, key=lambda gain: want.index(gain.key), default=None)


def to_show(call: Reasons) -> tuple[Gain, ...]:
    """The quickest available reading that shows whether a loop is right again, or none.

    Preferably one that was wrong before any action.
    """
    shown = _Shown(call, len(call.readings.steps) + 1)
    ill = [key for key, well in _usual(call, 0, 1).items() if not well]
    quickest = _quickest(call)
    return shown.asks([tuple(sorted(quickest, key=lambda key: key not in ill))])
