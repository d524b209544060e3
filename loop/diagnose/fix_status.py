"""Whether the actions fixed the trouble, which step did, and what was read since."""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose.actions import BY_NAME
from loop.diagnose.belief import Belief
from loop.diagnose.posterior import DECIMALS
from loop.diagnose.readings import Readings, StepDone
from loop.diagnose.reasons import Reasons
from loop.diagnose.study import Study
from loop.diagnose.valid_readings import valid_readings
from loop.records import dataclass
from loop.words.to_do import FIX

# The trouble counts as over from this probability.
OVER = 0.7
# From this probability it may be over, and is checked before anything else (engineering estimate).
MAY_BE = 0.3
# Words for a sufficient stream, and for a unit that does not run.
ENOUGH, STOPPED = ("strong", "steady"), ("trips", "off")
# Words for a unit in trouble.
ILL = (*STOPPED, "weak")

# The action that restarts a locked-out unit, and the fault that it cures.
RESET, LOCKED = "reset-unit", "unit-off"
# Actions with the pump's breaker off; it stays off until the pump is heard again.
BREAKER_OFF = ("open-pump", "fit-sound-pump")


@dataclass(frozen=True)
class FixStatus:
    """``fixed`` : probability that the trouble was fixed and nothing that is left shows; ``runs`` :
    that, or that a tripped unit runs again, whatever it tripped for;
    ``by`` : number of the step that most likely did so, from 1, 0 for none.
    """

    fixed: float
    runs: float
    by: int

    @property
    def over(self) -> bool:
        """Whether some step has most likely fixed it, at least for now."""
        return self.runs >= OVER and self.by > 0


def fix_status(study: Study, rows: Belief, weight: Array) -> FixStatus:
    """Whether the trouble was fixed and by which step, from the belief's `rows` with `weight`."""
    right = (rows.now != rows.origin) & ~study.shows[rows.now]
    tripped = np.zeros(len(study.owner), dtype=bool)
    tripped[study.rows_by_fault[LOCKED][0] if LOCKED in study.rows_by_fault else []] = True
    runs = right | (tripped[rows.origin] & ~tripped[rows.now])
    share = np.round(np.bincount(rows.since[runs], weight[runs], 1), DECIMALS)
    by = int(share[1:].argmax()) + 1 if len(share) > 1 else 0
    return FixStatus(float(weight[right].sum()), float(weight[runs].sum()), by)


def other_fault_fixed(study: Study, fault: str, rows: Belief, weight: Array) -> float:
    """Probability that a fault other than this one was fixed, and nothing that is left shows."""
    kinds = [{one.name for one in instance.faults} - {fault} for instance in study.instances]
    owners = zip(study.owner[rows.origin], study.owner[rows.now], strict=True)
    other = np.array([bool(kinds[before] - kinds[now]) for before, now in owners], dtype=bool)
    return round(float(weight[other & ~study.shows[rows.now]].sum()), DECIMALS)


def credited_action(call: Reasons, by: int, rows: Belief, weight: Array) -> str:
    """The action credited with the fix, where the step `by` completed it.

    For a lockout whose reason was fixed before, that fix and not the reset; and a fix for good
    rather than a step that only bypassed or quieted the fault.
    """
    quieted = BY_NAME[call.readings.steps[by - 1].did].leaves
    later = [one for one in call.readings.steps[by:] if one.saw == BY_NAME[one.did].answers[0]]
    fixes = [
        one.did
        for one in later
        if one.did.startswith(FIX) or any(map(BY_NAME[one.did].cure_probability, quieted))
    ]
    did = fixes[-1] if fixes else call.readings.steps[by - 1].did
    if did != RESET or other_fault_fixed(call.study, LOCKED, rows, weight) < OVER:
        return did
    before = call.readings.steps[: by - 1]
    found = [one.did for one in before if one.saw == BY_NAME[one.did].answers[0]]
    return found[-1] if found else did


def locked_out(call: Reasons, better: int) -> bool:
    """Whether a unit is off though the water is back, and was not reset since.

    A high-pressure lockout holds until it is reset, whatever was fixed. ``better`` : the step since
    which the loop is better, 0 for none; then the step at which the stream came counts.
    """
    steps = call.readings.steps
    since = better or _stream_returned(call.readings)
    if not since or any(step.did == RESET for step in steps[since - 1 :]):
        return False
    words = _last_words(steps[since - 1 :])
    return any(_is_kind(key, "unit") and word in STOPPED for key, word in words.items())


def _stream_returned(readings: Readings) -> int:
    """Number of the step at which an insufficient stream became enough; 0 where it did not."""
    came, enough = 0, True
    for number, one in enumerate((readings, *readings.steps)):
        word = one.words.get("stream")
        if word is not None:
            came, enough = (came if enough else number) if word in ENOUGH else 0, word in ENOUGH
    return came


def _last_words(since: Sequence[StepDone]) -> dict[str, str]:
    """Last words in these steps, without those that a later answer made obsolete."""
    words: dict[str, str] = {}
    for one in since:
        renewed = BY_NAME[one.did].renewed(one.saw)
        words = {k: word for k, word in words.items() if k.partition(".")[0] not in renewed}
        words |= one.words
    return words


def unverified_action(call: Reasons, found: FixStatus) -> str:
    """The action that may have fixed it where nothing was read since; "" for none."""
    since = call.readings.steps[found.by - 1 :]
    likely = found.fixed >= MAY_BE and found.by > 0
    return since[0].did if likely and not any(one.everywhere for one in since) else ""


def reads_well_since(call: Reasons, found: FixStatus) -> bool:
    """Whether anything was read since the fix, and none of it still shows trouble."""
    since = call.readings.steps[found.by - 1 :]
    read = any(one.everywhere for one in since)
    return found.over and read and not trouble_key(call, since) and not _fails_at_speed(since)


def _fails_at_speed(since: Sequence[StepDone]) -> bool:
    """Whether the stream was insufficient when last seen with the boat at speed."""
    seen = [word for one in since if (word := one.at_speed.words.get("stream"))]
    return bool(seen) and seen[-1] not in ENOUGH


def trouble_key(call: Reasons, since: Sequence[StepDone]) -> str:
    """Key of a last reading that still shows trouble, "" for none.

    A stream that is neither strong nor steady (a weak one is accepted where flow was measured); a
    flow below what a healthy loop gives; a unit that trips, stays off or cools weakly.
    """
    words = _last_words(since)
    flows = {key: one.alone(key) for one in since for key in one.numbers if _is_kind(key, "flow")}
    healthy = call.healthy(call.study)
    short = [
        key
        for key, one in flows.items()
        if key in call.instruments.column_of
        and one.numbers[key].value < float(healthy[key])
        and not call.usual(call.study, one)
    ]
    stream = words.get("stream", ENOUGH[0])
    if stream not in (*ENOUGH, *(("weak",) if flows else ())):
        return "stream"
    ill = [key for key, word in words.items() if _is_kind(key, "unit") and word in ILL]
    return next(iter((*short, *ill)), "")


def _is_kind(key: str, kind: str) -> bool:
    return key.partition(".")[0] == kind


def still_wrong(call: Reasons, found: FixStatus, rows: Belief, weight: Array) -> tuple[str, int]:
    """The reading that still shows trouble, and the step since which the loop is better.

    A key as from `trouble_key`, and a step number: the last step, where it has most likely brought
    the water back; or the step that fixed the trouble, where a unit is still ill and nothing done
    since it was seen can have changed that. "" and 0 where nothing shows trouble, or nothing is
    better.
    """
    study, steps = call.study, call.readings.steps
    if found.fixed >= OVER and found.by > 0 and not call.contradiction:
        key = trouble_key(call, steps[found.by - 1 :])
        fresh = key in valid_readings(call.posterior, call.readings).keys
        return (key, found.by) if _is_kind(key, "unit") and fresh else ("", 0)
    veiled = np.array([one.hides_symptoms for one in study.instances])[study.owner]
    back = veiled[rows.origin] & ~veiled[rows.now] & (rows.since == len(steps))
    if not steps or float(weight[back].sum()) < OVER:
        return "", 0
    key = trouble_key(call, steps[-1:])
    return (key, len(steps)) if key else ("", 0)


def pump_is_off(readings: Readings) -> bool:
    """Whether the pump was switched off for an action since it was last heard."""
    states = (readings, *readings.steps)
    heard = max((n for n, one in enumerate(states) if "pump_sound" in one.words), default=0)
    return any(step.did in BREAKER_OFF for step in readings.steps[heard:])
