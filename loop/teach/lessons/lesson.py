"""A lesson as data, and as it is played: a loop, its changes, and what `check` says of each."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from loop.check import CheckResult, check
from loop.job import Edit, Job, edit, read_job
from loop.records import dataclass
from loop.teach.words.lessons import MEASURES, WORDS
from loop.units import System, parse, show
from loop.units.definitions import Kind

# Installed, the loops lie in the package; in a checkout, among the examples.
_FOLDERS = (
    Path(__file__).parents[2] / "lessons",
    Path(__file__).parents[3] / "examples" / "lessons",
)
# What kind of unit a quantity of the words is written in, and digits where the usual are too many.
_KINDS: dict[str, Kind] = {
    "flow": "flow",
    "head": "length",
    "length": "length",
    "height": "length",
    "bore": "length",
    "velocity": "speed",
}
_DIGITS: dict[tuple[str, System], int] = {
    ("length", "us"): 0,
    ("height", "us"): 0,
    ("head", "us"): 2,
    ("velocity", "us"): 2,
}


@dataclass(frozen=True)
class Measure:
    """A figure of an answer of `check`: its name in the words, its quantity, and how it is read.

    ``read`` gives SI, or text where the quantity is "".
    """

    name: str
    quantity: str
    read: Callable[[CheckResult], Any]

    def shown(self, result: CheckResult) -> str:
        """The figure as text."""
        value = self.read(result)
        return str(value) if not self.quantity else show(value, self.quantity, result.job.units)


@dataclass(frozen=True)
class Change:
    """A change of the loop: its name in the words, and its edits."""

    name: str
    edits: tuple[Edit, ...]


@dataclass(frozen=True)
class Claim:
    """What the words of a lesson rest on: one column's figure against another's.

    ``than`` is "less", "more", or "same" (within 3 %). The loop as it is is column 0.
    """

    column: int
    than: str
    other: int
    measure: str


@dataclass(frozen=True)
class Lesson:
    """One lesson.

    ``predicts`` gives, from the answers of all columns, which of the choices in the words is right.
    ``with_line`` is whether its picture shows the line's heights.
    """

    number: int
    file: str
    topic: str
    measures: tuple[Measure, ...]
    changes: tuple[Change, ...]
    predicts: Callable[[list[CheckResult]], int]
    claims: tuple[Claim, ...]
    with_line: bool = False

    @property
    def path(self) -> Path:
        """Its loop; raises FileNotFoundError in a broken installation."""
        for folder in _FOLDERS:
            if (folder / self.file).is_file():
                return folder / self.file
        raise FileNotFoundError("the lessons' loops are missing from this installation")


@dataclass(frozen=True)
class Column:
    """The loop as it is, or after a change: its name, the answer, and the figures as text."""

    name: str
    result: CheckResult
    figures: Mapping[str, str]


@dataclass(frozen=True)
class Played:
    """A lesson with its numbers.

    ``choices`` are what may be predicted, ``right`` the index of what comes true.
    """

    lesson: Lesson
    title: str
    columns: tuple[Column, ...]
    predict: str
    choices: tuple[str, ...]
    right: int
    reveal: str
    see: str
    explain: str
    exercise: str
    answer: str


def title(lesson: Lesson, system: System = "us") -> str:
    """What a lesson is called."""
    return in_units(WORDS[lesson.number].title, system)


def play(lesson: Lesson, system: System = "us") -> Played:
    """The lesson with the program's numbers, in either system of units."""
    columns = tuple(_columns(lesson, system))
    words = WORDS[lesson.number]
    facts = {
        f"{name}{number}": text
        for number, column in enumerate(columns)
        for name, text in column.figures.items()
    }
    job = columns[0].result.job
    facts |= {"pump": columns[0].result.pump.name, "need": show(
        job.condenser[0].needed_flow, "flow", system
    )}  # fmt: skip

    def say(text: str) -> str:
        return in_units(text, system).format_map(facts)

    return Played(
        lesson=lesson,
        title=title(lesson, system),
        columns=columns,
        predict=say(words.predict),
        choices=tuple(say(choice) for choice in words.choices),
        right=lesson.predicts([column.result for column in columns]),
        reveal=say(words.reveal),
        see=say(words.see),
        explain=say(words.explain),
        exercise=say(words.exercise),
        answer=say(words.answer),
    )


def in_units(text: str, system: System) -> str:
    """A text with each ``[8 ft|head]`` in it shown in the reader's units.

    >>> in_units("a lift of [2 ft|head]", "si")
    'a lift of 0.61 m'
    """

    def shown(found: re.Match[str]) -> str:
        value, quantity = parse(found[1], _KINDS[found[2]]), found[2]
        text, _, unit = show(value, quantity, system, _DIGITS.get((quantity, system))).partition(
            " "
        )
        return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}"

    return re.sub(r"\[([^|\]]+)\|(\w+)\]", shown, text)


def _columns(lesson: Lesson, system: System) -> list[Column]:
    job = read_job(lesson.path).model_copy(update={"units": system})
    changes = WORDS[lesson.number].changes
    names = ("as it is", *(in_units(changes[one.name], system) for one in lesson.changes))
    jobs = (job, *(edit(job, change.edits) for change in lesson.changes))
    return [_column(lesson, name, one) for name, one in zip(names, jobs, strict=True)]


def _column(lesson: Lesson, name: str, job: Job) -> Column:
    result = check(job)
    return Column(name, result, {m.name: m.shown(result) for m in lesson.measures})


def called(measure: Measure) -> str:
    """What a measure is called in a table."""
    return MEASURES[measure.name]
