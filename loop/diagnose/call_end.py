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
from loop.diagnose.as_built import traps_air
from loop.diagnose.belief import Belief
from loop.diagnose.fix_status import (
    ENOUGH,
    OVER,
    STOPPED,
    FixStatus,
    other_fault_fixed,
    reads_well_since,
    unverified_action,
)
from loop.diagnose.information_gain import at_hand
from loop.diagnose.reading_kinds import KINDS, UNDER_WAY, proves
from loop.diagnose.readings import StepDone
from loop.diagnose.readings_since import ReadingsSince, quickest_proofs, usual_readings
from loop.diagnose.reasons import Reasons
from loop.diagnose.remaining_fault import remaining_fault
from loop.diagnose.root_cause import ROOT_CAUSE_CHECKS, RootCauseCheck, Want
from loop.diagnose.statements import AT_SPEED, COMES_LATER
from loop.diagnose.step_value import StepValue
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
class CallEnd:
    """How a call that is over for now ends, or what it still requires.

    ``over`` : whether the trouble is over for now, as far as was read. ``unread`` : the action
    after which nothing was read. ``left`` : the fault that was only relieved. ``recurs`` : whether
    the loop as built brings it back. ``unknown`` : the step of `ROOT_CAUSE_CHECKS` whose reason is
    not known; ``watch`` the key of the text on what to do where nothing at hand can show it;
    ``goes_on`` whether the readings taken for it show trouble, whose cause the call then seeks.
    ``asks`` : the readings and steps that would end it, where available. ``done`` : whether it is
    fixed and fully verified.
    """

    over: bool = False
    unread: str = ""
    left: str = ""
    recurs: bool = False
    unknown: str = ""
    watch: str = ""
    goes_on: bool = False
    asks: tuple[StepValue, ...] = ()
    done: bool = False


def call_end(call: Reasons, fix: FixStatus, rows: Belief, weight: Array) -> CallEnd:
    """The end of a call, from what was put right and the belief's `rows` with `weight`."""
    study, steps = call.study, call.readings.steps
    over = reads_well_since(call, fix) and not call.misfit()
    left, mended = remaining_fault(study, steps, rows, weight)
    if not over:
        found = any(left in one.leaves and one.only_finds(left) for one in map(_action, steps))
        return (
            CallEnd(left=left)
            if found and not call.misfit()
            else CallEnd(unread=unverified_action(call, fix))
        )
    then = [
        (number, one)
        for number, one in _root_cause_checks(call, fix.by)
        if not one.only or other_fault_fixed(study, one.only, rows, weight) < OVER
    ]
    by = max([fix.by, mended, *(_last_wanted_step(steps, number, one) for number, one in then)])
    if not any(one.everywhere for one in steps[by - 1 :]):
        return CallEnd(over, unread=steps[by - 1].did)
    if left:
        return CallEnd(over, left=left)
    if steps[fix.by - 1].did in LETS_AIR_OUT and traps_air(study):
        return CallEnd(over, recurs=True)
    since = ReadingsSince(call, max([by, *_all_unit_steps(steps)]))
    reasons = [(number, want) for number, one in then for want in _wants_by_unit(call, one)]
    missing = [(number, want) for number, want in reasons if not since.has(want)]
    proofs = [
        want for want in dict.fromkeys(_readings_to_verify(call, fix.by)) if not since.has(want)
    ]
    asks = since.asks([want for _, want in missing] + proofs)
    if missing:
        odd = not asks and any(since.is_odd(want) for _, want in missing)
        did = steps[missing[0][0] - 1].did
        return CallEnd(
            over, unknown=did, watch=ROOT_CAUSE_CHECKS[did].watch, goes_on=odd, asks=asks
        )
    unexplained = next((steps[number - 1].did for number, one in then if one.well), "")
    if unexplained:
        later = bool(set(call.readings.said) & set(COMES_LATER)) and not since.has((RUNS,))
        runs = since.asks([(RUNS,)]) if later else ()
        return CallEnd(
            over, unknown=unexplained, watch=ROOT_CAUSE_CHECKS[unexplained].well, asks=runs or asks
        )
    if not (asks or proofs) and not _shows_the_fix(call, fix.by, by):
        asks = since.asks([_unverified_readings(call, fix.by)])
        return CallEnd(over, asks=asks, done=since.well and not asks)
    return CallEnd(over, asks=asks, done=not proofs and since.well)


def _root_cause_checks(call: Reasons, by: int) -> Iterator[tuple[int, RootCauseCheck]]:
    """The steps of `ROOT_CAUSE_CHECKS` that fixed it or found what they look for, by number."""
    said = set(call.readings.said)
    for number, step in enumerate(call.readings.steps, 1):
        then = ROOT_CAUSE_CHECKS.get(step.did)
        found = number == by or step.saw == _action(step).answers[0]
        if then is None or not found:
            continue
        if then.again and _ran_well_between(call, then, number):
            yield number, replace(then, wants=then.again)
        elif not said & set(then.told):
            yield number, then


def _ran_well_between(call: Reasons, then: RootCauseCheck, number: int) -> bool:
    """Whether the same was found before this step, and the water ran well in between."""
    before = call.readings.steps[: number - 1]
    same = [
        ROOT_CAUSE_CHECKS.get(one.did) is then and one.saw == _action(one).answers[0]
        for one in before
    ]
    first = same.index(True) if any(same) else len(before)
    return any(one.words.get("stream") in ENOUGH for one in before[first:])


def _action(step: StepDone) -> CallAction:
    return actions.BY_NAME[step.did]


def _last_wanted_step(steps: tuple[StepDone, ...], after: int, then: RootCauseCheck) -> int:
    """Number of the last later step that it wants, 0 for none."""
    wanted = {name for want in then.wants for name in want}
    return max(
        (n for n, one in enumerate(steps, 1) if n > after and {one.did, one.line} & wanted),
        default=0,
    )


def _all_unit_steps(steps: tuple[StepDone, ...]) -> list[int]:
    return [number for number, one in enumerate(steps, 1) if one.did in OF_ALL_UNITS]


def _shows_the_fix(call: Reasons, fixed_by: int, by: int) -> bool:
    """Whether anything shows the fix that was not already known to be normal before."""
    before = usual_readings(call, 0, fixed_by)
    return any(proves(key) and not before.get(key) for key in usual_readings(call, by, None))


def _unverified_readings(call: Reasons, fixed_by: int) -> Want:
    """What would show the fix and was not known to be normal before, the quickest first."""
    before = usual_readings(call, 0, fixed_by)
    return tuple(one for one in quickest_proofs(call) if not before.get(one))


def _readings_to_verify(call: Reasons, by: int) -> Iterator[Want]:
    """What to verify: readings that were wrong before the fix; each unit, where one was affected;
    and the stream at speed, where it was reported or read as wrong.
    """
    columns = (*call.instruments.columns, *call.instruments.words)
    before = usual_readings(call, 0, by)
    ill = [key for key, well in before.items() if not well and proves(key)]
    units = [key for key in call.study.words if key.partition(".")[0] == OF_A_UNIT[0]]
    steps = {step.did for step in call.readings.steps}
    said = set(call.readings.said)
    of_units = len(units) > 1 and (
        any("." in key for key in ill) or statements.ONE_UNIT in said or steps & set(OF_ALL_UNITS)
    )
    if of_units or said & set(TRIPS):
        yield from (_unit_proof(key) for key in units)
    away = call.instruments.at_speed
    at_speed = said & set(AT_SPEED) or any(key.startswith(UNDER_WAY) for key in ill)
    if away is not None and at_speed:
        yield (away.key,)
    for key in (column.key for column in columns if column.key in ill):
        yield (
            _water_proof(call, ill)
            if key in WATER
            else _unit_proof(key)
            if key in units
            else (key,)
        )


def _water_proof(call: Reasons, ill: list[str]) -> Want:
    """What verifies the water; a look does not replace a bucket that had read too little."""
    measured = [one for one in call.instruments.columns if one.key in WATER and one.key in ill]
    return tuple(one.key for one in measured if at_hand(one, call.readings)) or WATER


def _unit_proof(key: str) -> Want:
    """Keys that show whether a unit runs as it should, from its state's key."""
    return tuple(kind + key.removeprefix(OF_A_UNIT[0]) for kind in OF_A_UNIT)


def _wants_by_unit(call: Reasons, then: RootCauseCheck) -> Iterator[Want]:
    """Its wants by key; per-unit readings for each unit that stopped, or for every unit."""
    several = [unit.name for unit in call.instruments.units if len(call.instruments.units) > 1]
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
