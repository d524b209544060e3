"""`loop lesson`: predict, reveal, change, see, explain."""

import textwrap
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from rich.console import RenderableType
from rich.text import Text

from loop.cli.options import console, option, write_whole
from loop.cli.output import headed
from loop.cli.typed import ENDS, typed
from loop.job import JobError
from loop.teach.lessons import LESSONS, PlayedLesson, play, title
from loop.units import System
from loop.words.course import SAY
from loop.words.template import capital

Paper = Literal["letter", "a4"]
_ENDINGS = {"picture": ".svg", "worksheet": ".pdf", "answers": ".pdf"}
_LETTERS = "abcdefgh"
# Spaces between table columns, and least width of the row labels.
_GAP, _LABEL = 2, 18


def lesson(
    number: int | None,
    picture: str | None,
    worksheet: str | None,
    answers: str | None,
    paper: Paper | None,
    units: System,
) -> None:
    """Play a lesson, or write its sheets and its picture; list them where none is named."""
    out = console()
    if number is None:
        for each in LESSONS:
            out.print(Text(f"{each.number:>2}  {title(each, units)}"))
        return
    if number > len(LESSONS):
        raise JobError([SAY("lesson-none", number=number, count=len(LESSONS))])
    _check_endings({"picture": picture, "worksheet": worksheet, "answers": answers})
    played = play(LESSONS[number - 1], units)
    if picture or worksheet or answers:
        _write(played, picture, worksheet, answers, paper or ("letter" if units == "us" else "a4"))
    else:
        _play(played)


def _check_endings(files: Mapping[str, str | None]) -> None:
    """Raises JobError for files, by option, whose names say that they are something else."""
    wrong = [
        SAY("lesson-ending", option=option(name), file=file, ending=_ENDINGS[name])
        for name, file in files.items()
        if file and Path(file).suffix.lower() != _ENDINGS[name]
    ]
    if wrong:
        raise JobError(wrong)


def _play(played: PlayedLesson) -> None:
    out = console()
    out.print(Text(SAY("lesson-title", number=played.lesson.number, title=played.title), "bold"))
    out.print(Text(f"{SAY('lesson-loop', file=str(played.lesson.path))}\n"), soft_wrap=True)
    out.print(Text(SAY("lesson-predict"), "bold underline"))
    out.print(Text(played.predict))
    for letter, choice in zip(_LETTERS, played.choices, strict=False):
        out.print(Text(f"  {letter}) {choice}"))
    predicted = _predicted(len(played.choices))
    if predicted is None:
        return
    word, style = ("right", "bold green") if predicted == played.right else ("wrong", "bold red")
    out.print(Text(f"\n{SAY('lesson-reveal')}", "bold underline"))
    out.print(
        Text.assemble(
            (SAY(word), style), f" {capital(played.choices[played.right])}. {played.reveal}"
        )
    )
    out.print(Text(f"\n{SAY('lesson-change')}", "bold underline"))
    out.print(figures(played, out.width))
    out.print(Text(played.see))
    out.print(Text(f"\n{SAY('lesson-explain')}", "bold underline"))
    out.print(Text(played.explain))
    out.print(Text(f"\n{SAY('lesson-exercise', exercise=played.exercise)}"))
    if played.given:
        given = headed(*played.given[0])
        for row in played.given[1:]:
            given.add_row(*row)
        out.print(given)


def figures(played: PlayedLesson, width: int) -> RenderableType:
    """What each loop shows: one column per loop or, if they do not fit, one list per loop.

    Column heads wrap between words, so a column is as wide as its widest word or figure.
    """
    rows = {
        one.label: [c.figures[one.name] for c in played.columns] for one in played.lesson.measures
    }
    heads = [column.name for column in played.columns]
    wide = [
        max(map(len, (*head.split(), *shown)))
        for head, *shown in zip(heads, *rows.values(), strict=True)
    ]
    if width - sum(wide) - _GAP * len(heads) >= _LABEL:
        broken = [
            textwrap.fill(head, most, break_on_hyphens=False)
            for head, most in zip(heads, wide, strict=True)
        ]
        table = headed("", *broken)
        for name, shown in rows.items():
            table.add_row(name, *shown)
        return table
    lists = Text()
    for spot, head in enumerate(heads):
        lists.append(f"{head}\n", "bold")
        lists.append("".join(f"  {name}: {shown[spot]}\n" for name, shown in rows.items()))
    lists.rstrip()
    return lists


def _predicted(count: int) -> int | None:
    """The choice typed; None if the person stops."""
    letters = _LETTERS[:count]
    while (line := typed(SAY("lesson-prompt"))) is not None:
        text = line.lower().rstrip(").")
        if text in ENDS:
            break
        if len(text) == 1 and text in letters:
            return letters.index(text)
        print(SAY("lesson-letters", first=letters[0], last=letters[-1]))
    return None


def _write(
    played: PlayedLesson,
    picture: str | None,
    worksheet: str | None,
    answers: str | None,
    paper: Paper,
) -> None:
    from loop.sheet import worksheets
    from loop.teach.lessons.picture import picture as drawn
    from loop.teach.lessons.picture import to_svg
    from loop.teach.worksheet import answer_sheet, lesson_sheet

    if picture:
        write_whole(picture, to_svg(drawn(played, played.lesson.with_line)))
    if worksheet:
        write_whole(worksheet, worksheets.worksheets([lesson_sheet(played)], paper))
    if answers:
        write_whole(answers, worksheets.answers([answer_sheet(played)], paper))
    for path in filter(None, (picture, worksheet, answers)):
        console().print(Text(SAY("lesson-written", file=path)))
