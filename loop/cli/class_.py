"""`loop class`: what each student got wrong, what to repeat when, and worksheets to print."""

from datetime import date
from pathlib import Path
from typing import Literal

from rich.text import Text

from loop.cli.options import console, write_whole
from loop.job import JobError
from loop.teach.classroom import Class, Report, by_belief, read_class, report, unanswered_sheets
from loop.words.course import SAY
from loop.words.teaching.beliefs import BELIEFS


def class_(file: str, print_: str | None, paper: Literal["letter", "a4"] | None) -> None:
    """Report on a class, or write its worksheets and one answer sheet."""
    of = read_class(file)
    if print_ is not None:
        _print_sheets(of, print_, paper or ("letter" if of.units == "us" else "a4"))
        return
    out, reports = console(), [report(of, pupil) for pupil in of.pupil]
    out.print(Text(of.title, "bold"))
    for one in reports:
        _print_report(one)
    held = by_belief(reports)
    if held:
        out.print(Text(f"\n{SAY('class-beliefs')}", "bold"))
        for topic, pupils in held.items():
            out.print(Text(f"{BELIEFS[topic].belief} ({topic}): {', '.join(pupils)}"))


def _print_report(one: Report) -> None:
    out, today = console(), date.today()
    out.print(Text(f"\n{one.pupil}", "bold"))
    if not one.marked:
        out.print(Text(SAY("class-none")))
    for sheet in one.marked:
        on, count = sheet.day.isoformat(), len(sheet.entries)
        about = SAY("class-worksheet", number=sheet.number, day=on, right=sheet.right, count=count)
        out.print(Text(about))
        for question, given in zip(sheet.questions, sheet.entries, strict=True):
            if not given.right:
                wrong = SAY(
                    "class-wrong",
                    topic=question.topic,
                    given=given.answer,
                    answer=question.right_answer,
                    belief=question.belief if given.believed else None,
                )
                out.print(Text(f"  {wrong}"))
    due = [topic for topic, day in one.again.items() if day <= today]
    if due:
        quoted = ", ".join(f'"{topic}"' for topic in due)
        out.print(Text(SAY("class-repeat-now", topics=f"[{quoted}]")))
    for topic, day in one.again.items():
        if day > today:
            out.print(Text(SAY("class-repeat", day=day.isoformat(), topic=topic)))


def _print_sheets(of: Class, target: str, paper: Literal["letter", "a4"]) -> None:
    from loop.sheet.worksheets import answers, worksheets

    path = Path(target)
    if path.suffix.lower() != ".pdf":
        raise JobError([SAY("class-ending", file=target)])
    sheets = unanswered_sheets(of)
    key = path.with_name(f"{path.stem}-answers.pdf")
    write_whole(path, worksheets(sheets, paper))
    write_whole(key, answers(sheets, paper))
    said = SAY("class-written", count=len(sheets), file=str(path), answers=str(key))
    console().print(Text(said))
