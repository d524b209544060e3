"""A worksheet and its answers as content: questions, choices, right answers."""

import hashlib
from collections.abc import Sequence

from loop.records import dataclass
from loop.teach.lessons.lesson import PlayedLesson
from loop.teach.lessons.picture import Picture, picture
from loop.teach.quiz import TOPICS, Question
from loop.units import System
from loop.words.course import SAY

# Number of seeds of worksheet questions.
_SEED_COUNT = 100_000


@dataclass(frozen=True)
class Item:
    """One question: text, choices with their letters, a table, lines to write on, its answer."""

    text: str
    answer: str
    why: str
    choices: tuple[tuple[str, str], ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    lines: int = 0


@dataclass(frozen=True)
class Worksheet:
    """A page for one pupil."""

    title: str
    pupil: str
    items: tuple[Item, ...]
    drawn: Picture | None = None


def quiz_sheet(title: str, pupil: str, questions: Sequence[Question]) -> Worksheet:
    """A worksheet of quiz questions."""
    return Worksheet(title, pupil, tuple(map(_question, questions)))


def _question(question: Question) -> Item:
    letters = tuple((letter, choice.text) for letter, choice in question.lettered)
    return Item(question.text, question.right_answer, question.why, letters)


def questions_for(
    pupil: str, sheet: int, topics: Sequence[str], system: System
) -> tuple[Question, ...]:
    """The questions of a pupil's numbered worksheet, always the same for that pupil and number.

    Each pupil gets different numbers.
    """
    return tuple(
        TOPICS[topic].question(_seed(pupil, sheet, place, topic), system)
        for place, topic in enumerate(topics)
    )


def _seed(*of: object) -> int:
    """A seed that does not depend on the run or the machine."""
    text = "\n".join(map(str, of)).casefold()
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:4], "big") % _SEED_COUNT


def lesson_sheet(played: PlayedLesson) -> Worksheet:
    """A lesson's worksheet: predict, record the results, explain, and one exercise."""
    letters = tuple(zip("abcdefgh", played.choices, strict=False))
    prediction = Item(played.predict, f"{letters[played.right][0]}) {letters[played.right][1]}",
                 played.reveal, letters)  # fmt: skip
    results = Item(
        SAY("sheet-fill-in"),
        played.see,
        "",
        table=_table(played, blank=True),
    )
    why = Item(SAY("sheet-why"), played.explain, "", lines=4)
    exercise = Item(played.exercise, played.answer, "", table=played.given, lines=4)
    title = SAY("lesson-title", number=played.lesson.number, title=played.title)
    return Worksheet(title, "", (prediction, results, why, exercise))


def answer_sheet(played: PlayedLesson) -> Worksheet:
    """The teacher's side of a lesson: its picture before and after, and its table filled in."""
    sheet = lesson_sheet(played)
    results = Item(SAY("sheet-seen"), played.see, "", table=_table(played, blank=False))
    prediction, _, *others = sheet.items
    drawn = picture(played, played.lesson.with_line)
    return Worksheet(
        SAY("sheet-answers", sheet=sheet.title),
        "",
        (prediction, results, *others),
        drawn,
    )


def _table(played: PlayedLesson, blank: bool) -> tuple[tuple[str, ...], ...]:
    """One row per measure, one column for the original loop and for each change."""
    rows = (
        (measure.label, *("" if blank else c.figures[measure.name] for c in played.columns))
        for measure in played.lesson.measures
    )
    return (("", *(column.name for column in played.columns)), *rows)
