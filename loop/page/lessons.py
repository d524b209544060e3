"""The ten lessons for the wall: what `loop lesson` plays, and the loop drawn after each change."""

from typing import Any

from loop.check import to_json
from loop.job import Put, edit_text
from loop.page.picture import picture
from loop.teach.lessons import LESSONS, Lesson, play, title
from loop.teach.lessons.picture import picture as drawn
from loop.teach.lessons.picture import to_svg
from loop.tomlfile import read_text
from loop.units import System

# Fields of a played lesson that are shown unchanged.
_SAID = ("title", "predict", "choices", "right", "reveal", "see", "explain", "exercise", "answer")


def lesson_list(system: System) -> list[dict[str, Any]]:
    """Number and title of every lesson."""
    return [{"number": each.number, "title": title(each, system)} for each in LESSONS]


def lesson_tables(number: int, system: System) -> dict[str, Any]:
    """A lesson with its texts, its figures, and each of its loops as text and picture.

    Raises IndexError if there is no lesson of that number.
    """
    if number < 1:
        raise IndexError(number)
    lesson = LESSONS[number - 1]
    played = play(lesson, system)
    return {
        "number": number,
        **{name: getattr(played, name) for name in _SAID},
        "bars": to_svg(drawn(played, with_line=False)),
        "given": played.given,
        "measures": [measure.label for measure in lesson.measures],
        "columns": [
            {
                "name": column.name,
                "figures": [column.figures[measure.name] for measure in lesson.measures],
                "text": text,
                "check": to_json(column.result),
                "picture": picture(column.result),
            }
            for column, text in zip(played.columns, _texts(lesson, system), strict=True)
        ],
    }


def _texts(lesson: Lesson, system: System) -> list[str]:
    """The job file of the loop as it is, and after each change."""
    folder = str(lesson.path.parent)
    first = edit_text(read_text(lesson.path, "job"), [Put("units", system)], folder)
    return [first, *(edit_text(first, change.edits, folder) for change in lesson.changes)]
