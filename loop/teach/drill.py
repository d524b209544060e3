"""A drill: a service call on a boat with a hidden fault, from the complaint to a working loop."""

from dataclasses import replace

import numpy as np

from loop.diagnose import BY_NAME as FAULT
from loop.diagnose import Readings, diagnose, named, prepare
from loop.diagnose.action import CallAction
from loop.diagnose.action_names import IN_FILES
from loop.diagnose.actions import TRIES
from loop.hydraulics import build
from loop.records import dataclass
from loop.teach.cases import Case, meant
from loop.teach.drill_score import (
    BELIEF,
    REPAIR,
    SAFE,
    STATE,
    STOP,
    TIME,
    UNSEEN,
    Score,
    par,
    quality,
)
from loop.teach.quiz import AnswerError
from loop.teach.safety import ASKS, repair_asks
from loop.words.faults import title
from loop.words.teaching.drills import SAFETY, SAY
from loop.words.to_do import DOING

# Cost of a hint in minutes.
_HINT = 5.0
# Kinds of readings that show whether the water is right.
_SHOW = ("flow", "stream", "outlet_temperature", "condensing_temperature")


@dataclass(frozen=True)
class Entry:
    """One thing done on the call: what, its result, and its minutes.

    ``reading`` : key of a reading; ``touched`` : whether it was an action or a repair, successful
    or not.
    """

    what: str
    showed: str
    minutes: float
    reading: str = ""
    touched: bool = False


@dataclass(frozen=True)
class Call:
    """The state of a call: immutable, each step returns the next.

    ``cured`` : the hidden faults that are cured, ``stops`` : how often a safety step was missing,
    ``belief`` : the latest probabilities given, by fault, and ``held`` : those at the first cure:
    once the boat has responded, a belief is no longer a prediction.
    """

    case: Case
    entries: tuple[Entry, ...] = ()
    cured: frozenset[str] = frozenset()
    stops: int = 0
    belief: tuple[tuple[str, float], ...] = ()
    held: tuple[tuple[str, float], ...] = ()

    @property
    def taken(self) -> tuple[str, ...]:
        """Keys of the readings taken, in order."""
        return tuple(entry.reading for entry in self.entries if entry.reading)

    @property
    def looked(self) -> bool:
        """Whether the water was checked after the last action."""
        done = [i for i, entry in enumerate(self.entries) if entry.touched]
        after = self.entries[done[-1] + 1 :] if done else self.entries
        return any(entry.reading.partition(".")[0] in _SHOW for entry in after)

    @property
    def counted(self) -> tuple[tuple[str, float], ...]:
        """The belief that is scored."""
        return self.held if self.cured else self.belief

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
        key = self.case.key_of(text)
        entry = Entry(named(key), self.case.value(key, self.now), self.case.minutes(key), key)
        return replace(self, entries=(*self.entries, entry))

    def rank(self, text: str) -> "Call":
        """The call with a belief: ``strainer-blocked 60, pump-worn 30, intake-fouled 10``.

        In percent, for at least three faults where there are as many; the rest of 100 is shared
        equally by all others. Raises AnswerError for invalid input.
        """
        given: dict[str, float] = {}
        for piece in filter(None, (one.strip() for one in text.split(","))):
            name, _, share = piece.rpartition(" ")
            try:
                value = float(share.rstrip("%")) / 100
            except ValueError:
                raise AnswerError(SAY("rank", piece=repr(piece))) from None
            if not 0 <= value <= 1:
                raise AnswerError(SAY("rank-range", piece=repr(piece)))
            given[self.case.fault_of(name)] = value
        if len(given) < min(3, len(self.case.faults)) or sum(given.values()) > 1 + 1e-9:
            raise AnswerError(SAY("rank-three"))
        return replace(self, belief=tuple(given.items()))

    def do(self, text: str) -> "Call":
        """The call after ``clean-basket: seacock, breaker, plug``: an action and its safety steps.

        Where a required one is missing the action is not done, and the stop is counted.
        """
        name, safe = _asked(text)
        action = meant(
            name, {a.name: (a.name, IN_FILES[a.name]) for a in self.actions}, "what-action"
        )
        missing = _missing(ASKS[action], safe)
        if missing:
            return self._stopped(DOING[action].title, missing)
        found = next(one for one in TRIES if one.name == action)
        showed, cured = self._tried(found)
        return self._touched(Entry(DOING[action].title, showed, found.minutes, "", True), cured)

    def repair(self, text: str) -> "Call":
        """The call after the repair of a fault, with its safety steps after a colon."""
        name, safe = _asked(text)
        fault = self.case.fault_of(name)
        missing = _missing(repair_asks(fault), safe)
        what = SAY("repair", fault=title(fault))
        if missing:
            return self._stopped(what, missing)
        ours = frozenset(set(fault.split(" + ")) & set(self.case.hidden)) - self.cured
        showed = SAY("repaired" if ours else "repaired-nothing")
        return self._touched(Entry(what, showed, REPAIR, "", True), ours)

    def hint(self) -> tuple["Call", str]:
        """The call with a hint, and its text: the best next step; costs minutes."""
        study = prepare(self.case.job)
        found = diagnose(self.case.job, self.now.only(set(self.taken)), study)
        step = next((one for one in found.next if one.reading not in self.taken), None)
        said = SAY("hint-none") if step is None else step.title
        entry = Entry(SAY("hint"), said, _HINT)
        return replace(self, entries=(*self.entries, entry)), said

    @property
    def actions(self) -> tuple[CallAction, ...]:
        """The actions possible on this loop."""
        network = build(self.case.job)
        return tuple(action for action in TRIES if action.needs(network))

    def score(self) -> Score:
        """The current score of the call."""
        spent = max(self.minutes, 1e-9)
        quick = min(1.0, par(self.case, self.actions) / spent) if self.fixed == 1 else 0.0
        return Score(
            state=(STATE - UNSEEN * (not self.looked)) * self.fixed,
            belief=BELIEF * quality(dict(self.counted), self.case),
            time=TIME * quick,
            safety=SAFE * self.fixed - STOP * self.stops,
        )

    def _tried(self, action: CallAction) -> tuple[str, frozenset[str]]:
        """An action's answer, and the faults that it cures, drawn at random for this boat."""
        # Seeded by name, so that a saved drill replays the same when the list grows.
        rng = np.random.default_rng([self.case.seed, len(self.entries), *action.name.encode()])
        effects = {name: (first, cure) for name, first, cure in action.effects}
        likely, cured = action.otherwise, frozenset[str]()
        for name, severity in zip(self.case.hidden, self.case.severity, strict=True):
            if name in self.cured or name not in effects:
                continue
            first, cure = effects[name]
            likely = max(likely, float(action.first_chance(FAULT[name], first, severity)))
            if rng.random() < cure:
                cured |= {name}
        if action.looks:  # the same observation as the reading
            said = bool(cured) or self.now.words[action.looks] == action.answers[0]
        else:
            said = bool(cured) or rng.random() < likely
        return action.answers[0] if said else action.answers[1], cured

    def _touched(self, entry: Entry, cured: frozenset[str]) -> "Call":
        """The call after an action or a repair, successful or not."""
        held = self.belief if cured and not self.cured else self.held
        entries = (*self.entries, entry)
        return replace(self, entries=entries, cured=self.cured | cured, held=held)

    def _stopped(self, what: str, missing: tuple[str, ...]) -> "Call":
        said = SAY("stopped", missing="; ".join(SAFETY[name] for name in missing))
        entry = Entry(what, said, 0.0)
        return replace(self, entries=(*self.entries, entry), stops=self.stops + 1)


def _asked(text: str) -> tuple[str, set[str]]:
    """The thing to do, and the safety steps named; raises AnswerError for an unknown one."""
    name, _, steps = text.partition(":")
    given = (one.strip() for one in steps.split(","))
    known = {step: (step,) for step in SAFETY}
    return name.strip(), {meant(one, known, "what-safety") for one in given if one}


def _missing(asked: tuple[str, ...], given: set[str]) -> tuple[str, ...]:
    return tuple(step for step in asked if step not in given)
