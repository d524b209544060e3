"""A lesson as data, and as played: a loop, its changes, and the result of `check` for each."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from loop.check import CheckResult, check
from loop.job import Edit, Insert, Job, Put, Remove, edit, read_job
from loop.records import dataclass
from loop.teach.arithmetic import evaluate
from loop.teach.lessons.figures import MEASURES, TABLES, Measure, figures_of
from loop.units import System, parse, show
from loop.units.definitions import Kind
from loop.words.course import SAY

# The loops are in the package when installed, in the examples in a checkout.
_FOLDERS = (
    Path(__file__).parents[2] / "lessons",
    Path(__file__).parents[3] / "examples" / "lessons",
)
# Kind of unit of each quantity in the texts, and digits where the default is too many.
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
class Change:
    """A change of the loop: its name and its edits."""

    name: str
    edits: tuple[Edit, ...]


@dataclass(frozen=True)
class Lesson:
    """One lesson, as in the file of lessons.

    ``claims`` are the facts that its text relies on: ``"flow1 > flow0"``, or = for within 3 %; a
    figure's number is its column, and the original loop is column 0. ``right`` is a formula of
    figures whose position among the ascending ``edges`` is the index of the correct choice; or,
    without edges, figures the largest of which is correct. ``with_line`` : whether its picture
    shows the line's heights, ``with_curve`` : whether its exercise has a table of the pump's curve.
    """

    number: int
    title: str
    file: str
    topic: str
    shows: tuple[str, ...]
    claims: tuple[str, ...]
    predict: str
    choices: tuple[str, ...]
    right: str | list[str]
    reveal: str
    see: str
    explain: str
    exercise: str
    answer: str
    changes: tuple[Change, ...]
    edges: tuple[float, ...] = ()
    with_line: bool = False
    with_curve: bool = False

    @property
    def path(self) -> Path:
        """Its loop; raises FileNotFoundError in a broken installation."""
        return lesson_file(self.file)

    @property
    def measures(self) -> tuple[Measure, ...]:
        """The figures that it shows."""
        return tuple(MEASURES[name] for name in self.shows)

    def right_choice(self, figures: Mapping[str, float]) -> int:
        """Index of the correct choice, from the figures of all columns."""
        if isinstance(self.right, str):
            value = evaluate(self.right, figures)
            return sum(value > edge for edge in self.edges)
        return max(range(len(self.right)), key=lambda i: figures[self.right[i]])


def lesson_file(name: str) -> Path:
    """A file of the course's loops; raises FileNotFoundError in a broken installation."""
    for folder in _FOLDERS:
        if (folder / name).is_file():
            return folder / name
    raise FileNotFoundError(SAY("lesson-files"))


def _lesson(number: str, change: list[dict[str, Any]], **table: Any) -> Lesson:
    """A lesson from its table, whose lists become tuples."""
    whole: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) and key != "right" else value
        for key, value in table.items()
    }
    return Lesson(number=int(number), changes=tuple(_change(**one) for one in change), **whole)


def _change(
    name: str,
    put: Mapping[str, Any] | None = None,
    remove: tuple[str, ...] = (),
    insert: Mapping[str, Any] | None = None,
) -> Change:
    edits: list[Edit] = [Put(address, value) for address, value in (put or {}).items()]
    edits += [Remove(address) for address in remove]
    edits += [Insert(address, part) for address, part in (insert or {}).items()]
    return Change(name, tuple(edits))


LESSONS: tuple[Lesson, ...] = tuple(
    _lesson(number, **table) for number, table in TABLES.items() if number.isdecimal()
)


@dataclass(frozen=True)
class Column:
    """The original loop, or one after a change: its name, the answer, and the figures as text."""

    name: str
    result: CheckResult
    figures: Mapping[str, str]


@dataclass(frozen=True)
class PlayedLesson:
    """A lesson with its numbers.

    ``choices`` : the possible predictions, ``right`` : index of the correct one; ``given`` : a
    table for the exercise, with empty cells to fill in.
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
    given: tuple[tuple[str, ...], ...] = ()


def title(lesson: Lesson, system: System = "us") -> str:
    """A lesson's title."""
    return in_units(lesson.title, system)


def play(lesson: Lesson, system: System = "us") -> PlayedLesson:
    """The lesson with the program's numbers, in either system of units."""
    columns = tuple(_columns(lesson, system))
    facts = {
        f"{name}{number}": measure.shown(column.result)
        for number, column in enumerate(columns)
        for name, measure in MEASURES.items()
    }

    def say(text: str) -> str:
        return in_units(text, system).format_map(facts)

    return PlayedLesson(
        lesson=lesson,
        title=title(lesson, system),
        columns=columns,
        predict=say(lesson.predict),
        choices=tuple(say(choice) for choice in lesson.choices),
        right=lesson.right_choice(figures_of(column.result for column in columns)),
        reveal=say(lesson.reveal),
        see=say(lesson.see),
        explain=say(lesson.explain),
        exercise=say(lesson.exercise),
        answer=say(lesson.answer),
        given=_curve(columns[0].result, system) if lesson.with_curve else (),
    )


def _curve(result: CheckResult, system: System) -> tuple[tuple[str, ...], ...]:
    """The points of the pump's datasheet, with an empty cell beside each."""
    curve = result.point.network.pump.curve.head_curve
    points = zip(curve.x.tolist(), curve.y.tolist(), strict=True)
    rows = ((show(flow, "flow", system), show(head, "head", system), "") for flow, head in points)
    return (tuple(TABLES["curve"]["head"]), *rows)


def in_units(text: str, system: System) -> str:
    """A text with each ``[8 ft|head]`` in it converted to the reader's units.

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
    job = read_job(lesson.path).shown_in(system)
    names = (SAY("lesson-as-is"), *(in_units(change.name, system) for change in lesson.changes))
    jobs = (job, *(edit(job, change.edits) for change in lesson.changes))
    return [_column(lesson, name, one) for name, one in zip(names, jobs, strict=True)]


def _column(lesson: Lesson, name: str, job: Job) -> Column:
    result = check(job)
    return Column(name, result, {m.name: m.shown(result) for m in lesson.measures})
