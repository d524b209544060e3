"""Rows of the course's CSV files: a class's worksheets, a pupil's record."""

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TypeVar

from loop.job import JobError
from loop.words.course import SAY
from loop.wrong import wrong

_Read = TypeVar("_Read")
# Most digits of a number in a row; every seed is shorter.
_DIGITS = 20


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
