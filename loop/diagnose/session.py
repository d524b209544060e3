"""A call in progress: observations and actions, step by step, with undo, save and resume."""

import os
from dataclasses import field, replace
from pathlib import Path

from loop.diagnose.action_names import IN_FILES
from loop.diagnose.actions import BY_NAME
from loop.diagnose.name_matching import answer_with, parse_action
from loop.diagnose.parse import parse_readings
from loop.diagnose.reading_kinds import UNDER_WAY
from loop.diagnose.readings import Readings, ReadingSet, StepDone
from loop.job import Job, JobError
from loop.records import dataclass
from loop.tomlfile import key_of, quoted, value_of
from loop.whole_file import put_whole
from loop.words.diagnosis import SAY

COMMANDS = ("undo", "why", "list", "done", "help")


@dataclass(frozen=True)
class Session:
    """The states of a call, the latest last; ``skipped`` : steps that the person skipped.

    A skipped reading may be asked for again after an action, unless it was skipped before
    (``passed``); a skipped action is not offered again.
    """

    job: Job
    states: tuple[Readings, ...] = (Readings(),)
    skipped: frozenset[str] = field(default_factory=frozenset)
    passed: tuple[str, ...] = ()

    @classmethod
    def resumed(cls, job: Job, readings: Readings) -> "Session":
        """A resumed call, whose actions, and the readings after them, can be undone."""
        states = [Readings(), replace(readings, steps=())]
        for number, step in enumerate(readings.steps):
            before = readings.steps[:number]
            states.append(replace(readings, steps=(*before, StepDone(did=step.did, saw=step.saw))))
            states.append(replace(readings, steps=(*before, step)))
        return cls(job, tuple(s for i, s in enumerate(states) if i == 0 or s != states[i - 1]))

    @property
    def readings(self) -> Readings:
        """The current state of the call."""
        return self.states[-1]

    def put(self, readings: Readings) -> "Session":
        """The session with a new state."""
        again = len(readings.steps) > len(self.readings.steps)
        for_good = {*BY_NAME, *(key for key in self.passed if self.passed.count(key) > 1)}
        kept = {key for key in self.skipped if not again or key in for_good}
        return replace(self, states=(*self.states, readings), skipped=frozenset(kept))

    def skip(self, key: str) -> "Session":
        """The session with a step skipped."""
        return replace(self, skipped=self.skipped | {key}, passed=(*self.passed, key))

    def undo(self) -> "Session":
        """The session without its last entry; itself where there is none."""
        if len(self.states) == 1:
            return self
        return replace(self, states=self.states[:-1], skipped=frozenset())

    def read(self, key: str, text: str) -> "Session":
        """The session with a reading in the current state; raises JobError where it is invalid.

        A key with the prefix ``under_way.`` is a reading with the boat at speed.
        """
        if key.startswith("under_way."):
            return self._under_way(f"{key.partition('.')[2]}={text}")
        found = parse_readings({key: text}, self.job, "")
        again = set(found.keys) & set(self.readings.latest.keys)
        now = self.put(self.readings.now_having(ReadingSet(found.numbers, found.words)))
        return replace(now, skipped=now.skipped | again)  # read twice: not asked again

    def do(self, action: str, saw: str) -> "Session":
        """The session with an action done, and what it showed: an answer, its number, or ""."""
        problems: list[str] = []
        one = parse_action(action, problems)
        if one is None:
            raise JobError(problems)
        saw = saw.strip()
        if saw in ("1", "2"):
            saw = one.answers[int(saw) - 1]
        saw = answer_with(saw, one.answers)
        table = {"did": one.name} | ({"saw": saw} if saw else {})
        try:
            found = parse_readings({"step": [table]}, self.job, "")
        except JobError as error:
            lines = [line.replace("step 1 saw", IN_FILES[one.name]) for line in error.problems]
            raise JobError(lines) from None
        return self.put(replace(self.readings, steps=(*self.readings.steps, *found.steps)))

    def _under_way(self, line: str) -> "Session":
        key, _, text = line.partition("=")
        table = {"under_way": {key.strip(): text.strip()}}
        new = parse_readings(table, self.job, "").under_way
        return self.put(self.readings.now_having(ReadingSet(), new))

    def entered(self, line: str) -> "Session":
        """The session with a line as typed: ``flow=150 gal/h``, ``did clean-basket: dirty``,
        ``under way stream=sputtering``, ``said since haul-out``, ``tools bucket``, ``undo``.

        Raises JobError for any other line.
        """
        word, _, rest = line.strip().partition(" ")
        if word == "undo":
            return self.undo()
        if word == "did":
            action, _, saw = rest.partition(":")
            return self.do(action.strip(), saw)
        if word == "under":
            return self._under_way(rest.removeprefix("way").strip(" :"))
        if word in ("said", "tools"):
            found = parse_readings({word: [rest] if word == "said" else rest}, self.job, "")
            return self.put(self.readings.having(found))
        key, equals, text = line.partition("=")
        if equals:
            return self.read(key.strip(), text.strip())
        known = ", ".join(COMMANDS)
        raise JobError([SAY("wrong-line", text=repr(line.strip()[:60]), known=known)])


def to_toml(readings: Readings) -> str:
    """A call as a readings file, which parses back to it."""
    given = {"date": readings.date, "note": readings.note, "said": readings.said}
    lines = [f"{key} = {value_of(value)}" for key, value in given.items() if value]
    if readings.tools is not None:
        lines.append(f"tools = {value_of(readings.tools)}")
    lines += _texts(readings)
    if readings.under_way:
        lines += ["", "[under_way]", *_texts(readings.under_way)]
    if readings.prior:
        lines += ["", "[prior]"]
        lines += [f"{quoted(name)} = {weight!r}" for name, weight in readings.prior.items()]
    for step in readings.steps:
        lines += ["", "[[step]]", f"did = {quoted(step.did)}"]
        lines += [f"saw = {quoted(step.saw)}"] if step.saw else []
        lines += [*_texts(step), *_texts(step.at_speed, UNDER_WAY)]
    return "\n".join(lines) + "\n"


def _texts(taken: ReadingSet, before: str = "") -> list[str]:
    # A key with a unit's name is quoted as a whole, so that a plain `flow` may stand next to it.
    return [f"{before}{key_of(key)} = {quoted(text)}" for key, text in taken.texts.items()]


def save(readings: Readings, path: str | Path) -> None:
    """Writes a call to a file atomically; raises OSError from the disk."""
    put_whole(Path(os.path.realpath(path)), to_toml(readings).encode("utf-8"))
