"""A class: the teacher's file of pupils, their worksheets and their answers."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import PydanticCustomError

from loop.job import JobError, file_text, read_toml
from loop.job.day import day
from loop.mistakes import lines
from loop.records import dataclass
from loop.teach.quiz import AnswerError, Question, known_topics
from loop.teach.record import Entry, entry, read_rows, schedule, whole_number
from loop.teach.worksheet import Worksheet, questions_for, quiz_sheet
from loop.units import System
from loop.words.course import SAY

_COLUMNS = ("pupil", "sheet", "topics", "date", "answers")


def _check_topics(topics: tuple[str, ...]) -> tuple[str, ...]:
    try:
        return known_topics(topics) if topics else topics
    except LookupError as error:
        raise PydanticCustomError("topic", "{why}", {"why": str(error.args[0])}) from None


Topics = Annotated[tuple[str, ...], AfterValidator(_check_topics)]


class Sheet(BaseModel):
    """One worksheet of a pupil: its number, its topics in order, and its answers once handed in."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    number: int = Field(ge=1, le=9999)
    topics: Topics = ()
    date: datetime.date | None = None
    answers: str = Field(default="", max_length=400)


class Pupil(BaseModel):
    """A pupil and the worksheets given so far."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    name: str = Field(min_length=1, max_length=60)
    sheet: tuple[Sheet, ...] = ()


class Class(BaseModel):
    """A class.

    ``topics`` apply to every worksheet without its own; default all topics.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")
    title: str = Field(default=SAY("class-title"), max_length=100)
    units: System = "us"
    topics: Topics = ()
    pupil: tuple[Pupil, ...] = Field(min_length=1, max_length=200)


@dataclass(frozen=True)
class GradedSheet:
    """A graded worksheet: its questions, and the entries from its answers."""

    number: int
    day: datetime.date
    questions: tuple[Question, ...]
    entries: tuple[Entry, ...]

    @property
    def right(self) -> int:
        """Number of right answers."""
        return sum(one.right for one in self.entries)


@dataclass(frozen=True)
class Report:
    """What a pupil's worksheets show.

    ``beliefs`` : those whose answers the pupil chose and has not since corrected, each with its
    count; ``again`` : the topics to repeat, each with its day.
    """

    pupil: str
    marked: tuple[GradedSheet, ...]
    beliefs: dict[str, int]
    again: dict[str, datetime.date]


def read_class(path: str | Path) -> Class:
    """A class from its TOML or CSV file.

    Raises JobError with a line for each mistake.
    """
    path = Path(path)
    csv_file = path.suffix.lower() == ".csv"
    tables = _rows(file_text(path, "class"), path) if csv_file else read_toml(path, "class")
    try:
        return Class.model_validate(tables)
    except ValidationError as error:
        raise JobError([f"{path}: {line}" for line in lines(error, _keys)]) from None


def _keys(item: Mapping[str, Any]) -> Iterable[str]:
    """The valid keys of the table that contains a mistake."""
    tables: dict[Any, type[BaseModel]] = {"pupil": Pupil, "sheet": Sheet}
    inner = [tables[step] for step in item["loc"][:-1] if step in tables]
    return (inner[-1] if inner else Class).model_fields


def _rows(text: str, path: Path) -> dict[str, Any]:
    """The tables of a class from a CSV file with one worksheet per row; JobError for a bad file."""
    pupils: dict[str, list[dict[str, Any]]] = {}
    for name, sheets in read_rows(text, path, _COLUMNS, _row):
        pupils.setdefault(name, []).extend(sheets)
    return {"pupil": [{"name": name, "sheet": sheets} for name, sheets in pupils.items()]}


def _row(row: Mapping[str, str]) -> tuple[str, list[dict[str, Any]]]:
    """A pupil, and the worksheet's table if the row has one; ValueError for a bad number or day."""
    pupil, date = row["pupil"].strip(), row["date"].strip()
    if not row["sheet"].strip():
        return pupil, []
    sheet = {
        "number": whole_number(row, "sheet"),
        "topics": tuple(row["topics"].split()),
        "date": day(date) if date else None,
        "answers": row["answers"],
    }
    return pupil, [sheet]


def questions_of(class_: Class, pupil: Pupil, sheet: Sheet) -> tuple[Question, ...]:
    """The questions of a pupil's worksheet, different for every pupil."""
    topics = sheet.topics or known_topics(class_.topics)
    return questions_for(pupil.name, sheet.number, topics, class_.units)


def report(class_: Class, pupil: Pupil) -> Report:
    """A pupil's mistakes by belief, and what to repeat when.

    Raises JobError where an answered worksheet has no date, an answer is not a letter of its
    question, or the number of answers is wrong.
    """
    graded = tuple(_graded(class_, pupil, sheet) for sheet in pupil.sheet if sheet.answers.strip())
    entries = [one for each in graded for one in each.entries]
    repeats = schedule(entries)
    beliefs: dict[str, int] = {}
    for one in entries:
        if one.believed and one.topic in repeats:
            beliefs[one.topic] = beliefs.get(one.topic, 0) + 1
    return Report(pupil.name, graded, beliefs, repeats)


def _graded(class_: Class, pupil: Pupil, sheet: Sheet) -> GradedSheet:
    where = SAY("class-sheet", pupil=pupil.name, number=sheet.number)
    questions, letters = questions_of(class_, pupil, sheet), _letters(sheet.answers)
    if sheet.date is None:
        raise JobError([SAY("class-undated", where=where)])
    if len(letters) != len(questions):
        raise JobError([SAY("class-count", where=where, given=len(letters), asked=len(questions))])
    entries, mistakes = [], []
    for place, (question, letter) in enumerate(zip(questions, letters, strict=True), start=1):
        if letter == "-":
            entries.append(Entry(sheet.date, question.topic, question.seed, "-", False, False))
            continue
        try:
            entries.append(entry(question, question.read(letter), sheet.date))
        except AnswerError as error:
            details = {"where": where, "letter": repr(letter), "problem": str(error)}
            mistakes.append(SAY("class-question", number=place, **details))
    if mistakes:
        raise JobError(mistakes)
    return GradedSheet(sheet.number, sheet.date, questions, tuple(entries))


def _letters(answers: str) -> list[str]:
    """The letters of an answer text, with or without separators."""
    return [letter for letter in answers.lower() if letter.isalpha() or letter == "-"]


def unanswered_sheets(class_: Class) -> tuple[Worksheet, ...]:
    """The worksheets without answers, of all pupils.

    Raises JobError where there is none, saying what to add to the file.
    """
    found = [
        quiz_sheet(
            SAY("class-sheet-title", title=class_.title, number=sheet.number),
            pupil.name,
            questions_of(class_, pupil, sheet),
        )
        for pupil in class_.pupil
        for sheet in pupil.sheet
        if not sheet.answers.strip()
    ]
    if not found:
        raise JobError([SAY("class-nothing")])
    return tuple(found)


def by_belief(reports: Sequence[Report]) -> dict[str, list[str]]:
    """Pupils by the belief that they hold, the most common first."""
    pupils: dict[str, list[str]] = {}
    for one in reports:
        for topic in one.beliefs:
            pupils.setdefault(topic, []).append(one.pupil)
    return dict(sorted(pupils.items(), key=lambda item: -len(item[1])))
