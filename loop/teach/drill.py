"""A drill: a service call on a boat with a hidden fault, from the complaint to a working loop."""

from dataclasses import replace

import numpy as np

from loop.diagnose import BY_NAME as FAULT
from loop.diagnose import Readings, diagnose, display_name, prepare
from loop.diagnose.action import CallAction
from loop.diagnose.action_names import IN_FILES
from loop.diagnose.actions import TRIES
from loop.hydraulics import build
from loop.records import dataclass
from loop.teach.cases import Case, match_name
from loop.teach.drill_score import (
    BELIEF_POINTS,
    REPAIR_MINUTES,
    SAFETY_POINTS,
    STATE_POINTS,
    STOP_PENALTY,
    TIME_POINTS,
    UNSEEN_PENALTY,
    Score,
    belief_score,
    good_call_minutes,
)
from loop.teach.quiz import AnswerError
from loop.teach.safety import ACTION_SAFETY, repair_safety
from loop.words.faults import title
from loop.words.teaching.drills import SAFETY, SAY
from loop.words.to_do import DOING

# Cost of a hint in minutes.
_HINT_MINUTES = 5.0
# Kinds of readings that show whether the water is right.
_WATER_READINGS = ("flow", "stream", "outlet_temperature", "condensing_temperature")


@dataclass(frozen=True)
class Entry:
    """One thing done on the call: what, its result, and its minutes.

    ``reading`` : key of a reading; ``is_work`` : whether it was an action or a repair, successful
    or not.
    """

    what: str
    result: str
    minutes: float
    reading: str = ""
    is_work: bool = False


@dataclass(frozen=True)
class Call:
    """The state of a call: immutable, each step returns the next.

    ``cured`` : the hidden faults that are cured, ``stops`` : how often a safety step was missing,
    ``belief`` : the latest probabilities given, by fault, and ``belief_at_cure`` : those at the
    first cure: once the boat has responded, a belief is no longer a prediction.
    """

    case: Case
    entries: tuple[Entry, ...] = ()
    cured: frozenset[str] = frozenset()
    stops: int = 0
    belief: tuple[tuple[str, float], ...] = ()
    belief_at_cure: tuple[tuple[str, float], ...] = ()

    @property
    def readings_taken(self) -> tuple[str, ...]:
        """Keys of the readings taken, in order."""
        return tuple(entry.reading for entry in self.entries if entry.reading)

    @property
    def checked_water(self) -> bool:
        """Whether the water was checked after the last action."""
        work = [i for i, entry in enumerate(self.entries) if entry.is_work]
        after = self.entries[work[-1] + 1 :] if work else self.entries
        return any(entry.reading.partition(".")[0] in _WATER_READINGS for entry in after)

    @property
    def scored_belief(self) -> tuple[tuple[str, float], ...]:
        """The belief that is scored."""
        return self.belief_at_cure if self.cured else self.belief

    @property
    def minutes(self) -> float:
        """Minutes so far."""
        return sum(entry.minutes for entry in self.entries)

    @property
    def now(self) -> Readings:
        """Every possible reading on the boat in its present state."""
        return self.case.after(self.cured)

    @property
    def fixed(self) -> float:
        """Share of the hidden faults that are cured."""
        return len(self.cured) / len(self.case.hidden)

    def read(self, text: str) -> "Call":
        """The call after a reading; raises AnswerError for an unknown one."""
        key = self.case.match_reading(text)
        entry = Entry(
            display_name(key), self.case.value(key, self.now), self.case.minutes(key), key
        )
        return replace(self, entries=(*self.entries, entry))

    def rank(self, text: str) -> "Call":
        """The call with a belief: ``strainer-blocked 60, pump-worn 30, intake-fouled 10``.

        In percent, for at least three faults where there are as many; the rest of 100 is shared
        equally by all others. Raises AnswerError for invalid input.
        """
        belief: dict[str, float] = {}
        for piece in filter(None, (one.strip() for one in text.split(","))):
            name, _, share = piece.rpartition(" ")
            try:
                value = float(share.rstrip("%")) / 100
            except ValueError:
                raise AnswerError(SAY("rank", piece=repr(piece))) from None
            if not 0 <= value <= 1:
                raise AnswerError(SAY("rank-range", piece=repr(piece)))
            belief[self.case.match_fault(name)] = value
        if len(belief) < min(3, len(self.case.faults)) or sum(belief.values()) > 1 + 1e-9:
            raise AnswerError(SAY("rank-three"))
        return replace(self, belief=tuple(belief.items()))

    @property
    def _actions_by_name(self) -> dict[str, tuple[str, ...]]:
        return {one.name: (one.name, IN_FILES[one.name]) for one in self.actions}

    def match_reading_or_action(self, text: str) -> str:
        """The reading or action that a person means: a reading's number, or a name.

        Raises AnswerError for no match; its text gives the nearest.
        """
        if text.strip().isdecimal():
            return self.case.match_reading(text)
        readings = {key: (key, display_name(key)) for key in self.case.keys}
        return match_name(text, {**readings, **self._actions_by_name}, "what-either")

    def do(self, text: str) -> "Call":
        """The call after ``clean-basket: seacock, breaker, plug``: an action and its safety steps.

        Where a required one is missing the action is not done, and the stop is counted.
        """
        name, steps_given = _parsed(text)
        action = match_name(name, self._actions_by_name, "what-action")
        missing = _missing_steps(ACTION_SAFETY[action], steps_given)
        if missing:
            return self._with_stop(DOING[action].title, missing)
        tried = next(one for one in TRIES if one.name == action)
        result, cured = self._try(tried)
        return self._after_work(Entry(DOING[action].title, result, tried.minutes, "", True), cured)

    def repair(self, text: str) -> "Call":
        """The call after the repair of a fault, with its safety steps after a colon."""
        name, steps_given = _parsed(text)
        fault = self.case.match_fault(name)
        missing = _missing_steps(repair_safety(fault), steps_given)
        what = SAY("repair", fault=title(fault))
        if missing:
            return self._with_stop(what, missing)
        repaired = frozenset(set(fault.split(" + ")) & set(self.case.hidden)) - self.cured
        result = SAY("repaired" if repaired else "repaired-nothing")
        return self._after_work(Entry(what, result, REPAIR_MINUTES, "", True), repaired)

    def hint(self) -> tuple["Call", str]:
        """The call with a hint, and its text: the best next step; costs minutes."""
        study = prepare(self.case.job)
        found = diagnose(self.case.job, self.now.only(set(self.readings_taken)), study)
        step = next((one for one in found.next if one.reading not in self.readings_taken), None)
        hint = SAY("hint-none") if step is None else step.title
        entry = Entry(SAY("hint"), hint, _HINT_MINUTES)
        return replace(self, entries=(*self.entries, entry)), hint

    @property
    def actions(self) -> tuple[CallAction, ...]:
        """The actions possible on this loop; none that would tell more of something not found."""
        network = build(self.case.job)
        return tuple(one for one in TRIES if one.needs(network) and not one.recalls)

    def score(self) -> Score:
        """The current score of the call."""
        minutes = max(self.minutes, 1e-9)
        speed = (
            min(1.0, good_call_minutes(self.case, self.actions) / minutes)
            if self.fixed == 1
            else 0.0
        )
        return Score(
            state=(STATE_POINTS - UNSEEN_PENALTY * (not self.checked_water)) * self.fixed,
            belief=BELIEF_POINTS * belief_score(dict(self.scored_belief), self.case),
            time=TIME_POINTS * speed,
            safety=SAFETY_POINTS * self.fixed - STOP_PENALTY * self.stops,
        )

    def _try(self, action: CallAction) -> tuple[str, frozenset[str]]:
        """An action's answer, and the faults that it cures, drawn at random for this boat."""
        # Seeded by name, so that a saved drill replays the same when the list grows.
        rng = np.random.default_rng([self.case.seed, len(self.entries), *action.name.encode()])
        effects = {name: (likely_first, cure) for name, likely_first, cure in action.effects}
        likely, cured = action.otherwise, frozenset[str]()
        for name, severity in zip(self.case.hidden, self.case.severity, strict=True):
            if name in self.cured or name not in effects:
                continue
            likely_first, cure = effects[name]
            likely = max(
                likely, float(action.first_answer_probability(FAULT[name], likely_first, severity))
            )
            if rng.random() < cure:
                cured |= {name}
        if action.looks:  # the same observation as the reading
            positive = bool(cured) or self.now.words[action.looks] == action.answers[0]
        else:
            positive = bool(cured) or rng.random() < likely
        return action.answers[0] if positive else action.answers[1], cured

    def _after_work(self, entry: Entry, cured: frozenset[str]) -> "Call":
        """The call after an action or a repair, successful or not."""
        belief_at_cure = self.belief if cured and not self.cured else self.belief_at_cure
        entries = (*self.entries, entry)
        return replace(
            self, entries=entries, cured=self.cured | cured, belief_at_cure=belief_at_cure
        )

    def _with_stop(self, what: str, missing: tuple[str, ...]) -> "Call":
        result = SAY("stopped", missing="; ".join(SAFETY[name] for name in missing))
        entry = Entry(what, result, 0.0)
        return replace(self, entries=(*self.entries, entry), stops=self.stops + 1)


def _parsed(text: str) -> tuple[str, set[str]]:
    """The thing to do, and the safety steps named; raises AnswerError for an unknown one."""
    name, _, steps = text.partition(":")
    named_steps = (one.strip() for one in steps.split(","))
    known = {step: (step,) for step in SAFETY}
    return name.strip(), {match_name(one, known, "what-safety") for one in named_steps if one}


def _missing_steps(required: tuple[str, ...], given: set[str]) -> tuple[str, ...]:
    return tuple(step for step in required if step not in given)
