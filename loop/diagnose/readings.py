"""Readings, observations, statements and actions of one call."""

from collections.abc import Iterable, Mapping
from dataclasses import field, replace
from typing import TypeVar

from loop.diagnose.measured import Measured
from loop.diagnose.reading_kinds import UNDER_WAY
from loop.records import dataclass

SEA = "sea_temperature"
# Readings of the day rather than the loop: once taken, they hold for the call.
OF_THE_DAY = (SEA, "supply", "frequency")


@dataclass(frozen=True)
class ReadingSet:
    """Readings taken with the loop in one state: ``numbers`` and ``words`` by key.

    Keys are such as ``flow`` or ``outlet_temperature.saloon``.
    """

    numbers: Mapping[str, Measured] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of all readings."""
        return (*self.numbers, *self.words)

    @property
    def at_speed(self) -> "ReadingSet":
        """Readings in the same state with the boat at speed."""
        return ReadingSet()

    @property
    def everywhere(self) -> tuple[str, ...]:
        """Keys of all readings, including those at speed."""
        return (*self.keys, *(f"{UNDER_WAY}{key}" for key in self.at_speed.keys))

    def alone(self, key: str) -> "ReadingSet":
        """The reading of this key alone; empty where it was not taken."""
        numbers = {key: self.numbers[key]} if key in self.numbers else {}
        return ReadingSet(numbers, {key: self.words[key]} if key in self.words else {})

    def without(self, kind: str) -> "ReadingSet":
        """These readings without the words of a kind, for any unit."""
        words = {key: one for key, one in self.words.items() if key.partition(".")[0] != kind}
        return ReadingSet(self.numbers, words)

    @property
    def of_the_day(self) -> "ReadingSet":
        """Those that hold for the day, whatever the loop's state."""
        return ReadingSet({key: one for key, one in self.numbers.items() if key in OF_THE_DAY})

    @property
    def values(self) -> dict[str, float | str]:
        """Every reading [SI], or its word."""
        return {key: one.value for key, one in self.numbers.items()} | dict(self.words)

    @property
    def texts(self) -> dict[str, str]:
        """Every reading as text that parses back to it."""
        return {key: one.text for key, one in self.numbers.items()} | dict(self.words)


@dataclass(frozen=True)
class StepDone(ReadingSet):
    """An action that was done: its name, its answer, and the readings after it,
    ``under_way`` with the boat at speed.
    """

    did: str = ""
    saw: str = ""
    under_way: ReadingSet | None = None

    @property
    def at_speed(self) -> ReadingSet:
        """Readings after it with the boat at speed."""
        return self.under_way or ReadingSet()

    @property
    def line(self) -> str:
        """Action and answer, as ``clean-basket: dirty``."""
        return f"{self.did}: {self.saw}" if self.saw else self.did


@dataclass(frozen=True)
class Readings(ReadingSet):
    """The readings of one call before any action, and then step by step.

    ``prior`` : stated prior weights of faults; ``said`` : the customer's statements, as in
    `loop.diagnose.statements`; ``tools`` : those at hand, None for all; ``under_way`` : readings
    with the boat at speed; ``steps`` : the actions done, in order.
    """

    prior: Mapping[str, float] = field(default_factory=dict)
    date: str = ""
    note: str = ""
    said: tuple[str, ...] = ()
    tools: tuple[str, ...] | None = None
    under_way: ReadingSet | None = None
    steps: tuple[StepDone, ...] = ()

    @property
    def at_speed(self) -> ReadingSet:
        """Readings with the boat at speed before any action."""
        return self.under_way or ReadingSet()

    @property
    def empty(self) -> bool:
        """Whether nothing was read, said or done."""
        return not (self.keys or self.said or self.steps or self.under_way)

    @property
    def latest(self) -> ReadingSet:
        """Current knowledge of the loop: readings since the last step, and of the day."""
        if not self.steps:
            return self
        of_the_day = {
            key: one
            for taken in (self, *self.steps)
            for key, one in taken.numbers.items()
            if key in OF_THE_DAY
        }
        last = self.steps[-1]
        return ReadingSet(of_the_day | dict(last.numbers), last.words)

    @property
    def as_left(self) -> ReadingSet:
        """Readings of the last state in which any were taken, and of the day.

        Readings before an action do not describe the loop after it; but where none were taken after
        it, they are the latest available.
        """
        read = [number for number, step in enumerate(self.steps, 1) if step.keys]
        return replace(self, steps=self.steps[: max(read, default=0)]).latest

    @property
    def sea_first(self) -> "Readings":
        """The same with the sea's temperature, as it was read first, before anything was done.

        Nothing done changes it, and it says what every temperature of before meant.
        """
        at = next((n for n, step in enumerate(self.steps) if SEA in step.numbers), None)
        if SEA in self.numbers or at is None:
            return self
        step = self.steps[at]
        later = replace(step, numbers={k: v for k, v in step.numbers.items() if k != SEA})
        return replace(
            self,
            numbers={**self.numbers, SEA: step.numbers[SEA]},
            steps=(*self.steps[:at], later, *self.steps[at + 1 :]),
        )

    def only(self, keys: Iterable[str]) -> "Readings":
        """Only the readings of these keys, of those taken before any action."""
        keep = set(keys)
        return replace(
            self,
            numbers={k: v for k, v in self.numbers.items() if k in keep},
            words={k: v for k, v in self.words.items() if k in keep},
            said=(),
            under_way=None,
            steps=(),
        )

    def having(self, other: "Readings") -> "Readings":
        """These readings merged with another's, which take precedence."""
        return Readings(
            {**self.numbers, **other.numbers},
            {**self.words, **other.words},
            {**self.prior, **other.prior},
            other.date or self.date,
            other.note or self.note,
            tuple(dict.fromkeys((*self.said, *other.said))),
            self.tools if other.tools is None else other.tools,
            other.under_way or self.under_way,
            (*self.steps, *other.steps),
        )

    def now_having(self, other: ReadingSet, under_way: ReadingSet | None = None) -> "Readings":
        """These readings with others added in the current state: after the last step, if any.

        ``under_way`` : those taken with the boat at speed.
        """
        if not self.steps:
            return _merged(self, other, under_way)
        return replace(self, steps=(*self.steps[:-1], _merged(self.steps[-1], other, under_way)))


_State = TypeVar("_State", StepDone, Readings)


def _merged(state: _State, other: ReadingSet, under_way: ReadingSet | None) -> _State:
    """One state of the loop with readings added, including those at speed."""
    away, more = state.at_speed, under_way or ReadingSet()
    both = ReadingSet({**away.numbers, **more.numbers}, {**away.words, **more.words})
    return replace(
        state,
        numbers={**state.numbers, **other.numbers},
        words={**state.words, **other.words},
        under_way=both if under_way or state.under_way else None,
    )
