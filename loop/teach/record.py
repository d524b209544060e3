"""A pupil's answers in a CSV file, what to repeat when, and rows of the course's CSV files."""

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path
from typing import TypeVar

from loop.job import JobError, file_text
from loop.job import day as calendar
from loop.records import dataclass
from loop.teach.quiz import TOPICS, Question
from loop.words.course import SAY
from loop.wrong import wrong

# Days until a topic is repeated: after a wrong answer, then after each consecutive right one.
INTERVALS = (1, 3, 7)
_COLUMNS = ("date", "topic", "seed", "answer", "right", "believed")
_YES, _NO = "yes", "no"
_Read = TypeVar("_Read")
# Most digits of a number in a row; every seed is shorter.
_DIGITS = 20


@dataclass(frozen=True)
class Entry:
    """One answer: when, to which question, its letter, and what it showed.

    ``believed`` : whether it was the answer that the topic's belief gives.
    """

    day: date
    topic: str
    seed: int
    answer: str
    right: bool
    believed: bool


def entry(question: Question, chosen: int, day: date) -> Entry:
    """The entry for an answered question."""
    letter = question.lettered[chosen][0]
    right, believed = chosen == question.right, chosen == question.tempting
    return Entry(day, question.topic, question.seed, letter, right, believed)


def due(entries: Iterable[Entry]) -> date | None:
    """The day on which a topic is repeated, from all answers to it; None where it is settled.

    The answers of one day count as one, which is right where all are. A wrong day brings the topic
    back after one day, a right one after three, the second consecutive right one after seven; after
    the third it is settled.
    """
    ordered = sorted(entries, key=lambda one: one.day)
    streak, last = 0, date.min
    for day, answers in groupby(ordered, key=lambda one: one.day):
        streak = streak + 1 if all(one.right for one in answers) else 0
        last = day
    if not ordered or streak >= len(INTERVALS):
        return None
    return last + timedelta(days=INTERVALS[streak])


def schedule(entries: Sequence[Entry]) -> dict[str, date]:
    """Topics to repeat, each with its day, the soonest first."""
    days = {
        topic: due(one for one in entries if one.topic == topic)
        for topic in dict.fromkeys(one.topic for one in entries)
    }
    dated = [(day, topic) for topic, day in days.items() if day is not None]
    return {topic: day for day, topic in sorted(dated)}


def record_text(entries: Iterable[Entry]) -> str:
    """Entries as the text of a record."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for one in entries:
        said = (_YES if one.right else _NO, _YES if one.believed else _NO)
        writer.writerow([one.day.isoformat(), one.topic, one.seed, one.answer, *said])
    return out.getvalue()


def read_record(path: str | Path) -> list[Entry]:
    """The entries of a record; none where the file does not exist yet.

    Raises JobError for an invalid record, with a line for each mistake.
    """
    path = Path(path)
    if not path.exists():
        return []
    return read_rows(file_text(path, "record"), path, _COLUMNS, _entry)


def _entry(row: Mapping[str, str]) -> Entry:
    if row["topic"] not in TOPICS:
        raise ValueError(SAY("quiz-topic", topic=repr(row["topic"]), topics=", ".join(TOPICS)))
    for name in ("right", "believed"):
        if row[name] not in (_YES, _NO):
            raise ValueError(SAY("record-yes-no", name=name, given=repr(row[name])))
    on = date.fromisoformat(calendar.day(row["date"]))
    right, believed = row["right"] == _YES, row["believed"] == _YES
    return Entry(on, row["topic"], whole_number(row, "seed"), row["answer"], right, believed)


def read_rows(
    text: str, path: Path, columns: Sequence[str], read: Callable[[Mapping[str, str]], _Read]
) -> list[_Read]:
    """The result of `read` for each row's texts by column; `read` raises ValueError for a bad row.

    Raises JobError where the first line does not name the columns, or with a line for each bad row.
    """
    rows = csv.DictReader(io.StringIO(text, newline=""), restval="")
    found, mistakes = [], []
    try:
        if tuple(rows.fieldnames or ()) != tuple(columns):
            raise JobError([SAY("csv-first-line", file=str(path), line=",".join(columns))])
        for row in rows:
            try:
                found.append(read(row))
            except ValueError as error:
                said = SAY("csv-line", file=str(path), number=rows.line_num, problem=str(error))
                mistakes.append(said)
    except csv.Error:
        first = rows.line_num + 1  # of the row: an unclosed quote swallows lines
        raise JobError([SAY("csv-long", file=str(path), number=first)]) from None
    if mistakes:
        raise JobError(mistakes)
    return found


def whole_number(row: Mapping[str, str], column: str) -> int:
    """The number in a column; raises ValueError unless it is a whole number, 0 or more."""
    text = row[column].strip()
    if not text.isdecimal() or len(text) > _DIGITS:
        raise ValueError(f"{column}: {wrong('not-whole', given=repr(text[:_DIGITS]))}")
    return int(text)
