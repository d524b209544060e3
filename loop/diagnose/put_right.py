"""Whether what was done has put it right, which step did, and what was read since."""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose.actions import BY_NAME
from loop.diagnose.bayes import SAME
from loop.diagnose.belief import Belief
from loop.diagnose.readings import Readings, StepDone
from loop.diagnose.reasons import Reasons
from loop.diagnose.standing import standing
from loop.diagnose.study import Study
from loop.records import dataclass
from loop.words.to_do import FIX

# The trouble counts as over from this probability on.
OVER = 0.7
# From this one on it may be, and is looked at before anything else (engineering estimate).
MAY_BE = 0.3
# What a stream is said to be that is enough, and a unit that is not.
ENOUGH, STOPPED = ("strong", "steady"), ("trips", "off")
# What a unit does that does not do what it should.
ILL = (*STOPPED, "weak")

# What sets a unit going again that has locked itself out, and the fault that it cures.
RESET, LOCKED = "reset-unit", "unit-off"
# With the pump's breaker off these are done, and it stays off until the pump is heard again.
BREAKER_OFF = ("open-pump", "fit-sound-pump")


@dataclass(frozen=True)
class PutRight:
    """``fixed`` the probability that what was wrong was put right and what is left does not show;
    ``runs`` that it was, or that a unit that had tripped runs again, whatever it tripped for;
    ``by`` the number of the step that most likely did so, from 1, 0 for none."""

    fixed: float
    runs: float
    by: int

    @property
    def over(self) -> bool:
        """Whether some step has most likely put it right, for now at least."""
        return self.runs >= OVER and self.by > 0


def put_right(study: Study, rows: Belief, weight: Array) -> PutRight:
    """Of a belief's rows, so weighed."""
    right = (rows.now != rows.origin) & ~study.shows[rows.now]
    tripped = np.zeros(len(study.owner), dtype=bool)
    tripped[study.having[LOCKED][0] if LOCKED in study.having else []] = True
    runs = right | (tripped[rows.origin] & ~tripped[rows.now])
    share = np.round(np.bincount(rows.since[runs], weight[runs], 1), SAME)
    by = int(share[1:].argmax()) + 1 if len(share) > 1 else 0
    return PutRight(float(weight[right].sum()), float(weight[runs].sum()), by)


def beside(study: Study, fault: str, rows: Belief, weight: Array) -> float:
    """Probability that any other fault than this was put right, and what is left does not show."""
    kinds = [{one.name for one in instance.faults} - {fault} for instance in study.instances]
    owners = zip(study.owner[rows.origin], study.owner[rows.now], strict=True)
    other = np.array([bool(kinds[before] - kinds[now]) for before, now in owners], dtype=bool)
    return round(float(weight[other & ~study.shows[rows.now]].sum()), SAME)


def credited(call: Reasons, by: int, rows: Belief, weight: Array) -> str:
    """The action that is said to have put it right, where the step of this number did it last.

    Of a unit that locked itself out for what was put right before, that and not its reset; and what
    put right for good what that step only went round.
    """
    later = [one for one in call.readings.steps[by:] if one.did.startswith(FIX)]
    fixes = [one.did for one in later if one.saw == BY_NAME[one.did].answers[0]]
    did = fixes[-1] if fixes else call.readings.steps[by - 1].did
    if did != RESET or beside(call.study, LOCKED, rows, weight) < OVER:
        return did
    before = call.readings.steps[: by - 1]
    found = [one.did for one in before if one.saw == BY_NAME[one.did].answers[0]]
    return found[-1] if found else did


def locked_out(call: Reasons, better: int) -> bool:
    """Whether a unit stands though the water is back, and was not reset since.

    A high-pressure lock-out holds until it is reset, whatever was put right. ``better`` : the step
    since which it is better, 0 for none; else that at which the stream came.
    """
    steps = call.readings.steps
    since = better or _stream_came(call.readings)
    if not since or any(step.did == RESET for step in steps[since - 1 :]):
        return False
    words = _words(steps[since - 1 :])
    return any(_is(key, "unit") and word in STOPPED for key, word in words.items())


def _stream_came(readings: Readings) -> int:
    """Number of the step at which a stream that was too little became enough; 0 where it is not."""
    came, enough = 0, True
    for number, one in enumerate((readings, *readings.steps)):
        word = one.words.get("stream")
        if word is not None:
            came, enough = (came if enough else number) if word in ENOUGH else 0, word in ENOUGH
    return came


def _words(since: Sequence[StepDone]) -> dict[str, str]:
    """What was seen last in these steps, but for what a later one makes another."""
    words: dict[str, str] = {}
    for one in since:
        renewed = BY_NAME[one.did].renewed(one.saw)
        words = {k: word for k, word in words.items() if k.partition(".")[0] not in renewed}
        words |= one.words
    return words


def unread(call: Reasons, found: PutRight) -> str:
    """The action that may have put it right where nothing was read since; "" for none."""
    since = call.readings.steps[found.by - 1 :]
    likely = found.fixed >= MAY_BE and found.by > 0
    return since[0].did if likely and not any(one.everywhere for one in since) else ""


def read_since(call: Reasons, found: PutRight) -> bool:
    """Whether something was read since it was put right, and nothing of it shows trouble still."""
    since = call.readings.steps[found.by - 1 :]
    read = any(one.everywhere for one in since)
    return found.over and read and not trouble(call, since) and not _fails_at_speed(since)


def _fails_at_speed(since: Sequence[StepDone]) -> bool:
    """Whether the stream was too little with the boat at speed when it was seen there last."""
    seen = [word for one in since if (word := one.at_speed.words.get("stream"))]
    return bool(seen) and seen[-1] not in ENOUGH


def trouble(call: Reasons, since: Sequence[StepDone]) -> str:
    """What was read last that shows trouble still: a reading's key, "" where nothing does.

    A stream that is not strong, unless the bucket says that it is enough; too little in a bucket;
    a unit that trips, stays off or cools weakly.
    """
    words = _words(since)
    flows = {key: one.alone(key) for one in since for key in one.numbers if _is(key, "flow")}
    healthy = call.healthy(call.study)
    short = [
        key
        for key, one in flows.items()
        if key in call.bench.at
        and one.numbers[key].value < float(healthy[key])
        and not call.usual(call.study, one)
    ]
    stream = words.get("stream", ENOUGH[0])
    if stream not in (*ENOUGH, *(("weak",) if flows else ())):
        return "stream"
    ill = [key for key, word in words.items() if _is(key, "unit") and word in ILL]
    return next(iter((*short, *ill)), "")


def _is(key: str, kind: str) -> bool:
    return key.partition(".")[0] == kind


def still_wrong(call: Reasons, found: PutRight, rows: Belief, weight: Array) -> tuple[str, int]:
    """What shows trouble still, and the step since which it is better nevertheless.

    A reading's key, as `trouble` has it, and the number of the step: the last, where it has most
    likely brought the water back; or that which has put right what was wrong, where a unit is ill
    all the same, and nothing done since it was seen can have changed that. "" and 0 where nothing
    does, or nothing is better.
    """
    study, steps = call.study, call.readings.steps
    if found.fixed >= OVER and found.by > 0 and not call.contradiction:
        key = trouble(call, steps[found.by - 1 :])
        fresh = key in standing(call.posterior, call.readings).keys
        return (key, found.by) if _is(key, "unit") and fresh else ("", 0)
    veiled = np.array([one.veils for one in study.instances])[study.owner]
    back = veiled[rows.origin] & ~veiled[rows.now] & (rows.since == len(steps))
    if not steps or float(weight[back].sum()) < OVER:
        return "", 0
    key = trouble(call, steps[-1:])
    return (key, len(steps)) if key else ("", 0)


def is_off(readings: Readings) -> bool:
    """Whether something was done with the pump off since it was heard last."""
    states = (readings, *readings.steps)
    heard = max((n for n, one in enumerate(states) if "pump_sound" in one.words), default=0)
    return any(step.did in BREAKER_OFF for step in readings.steps[heard:])
