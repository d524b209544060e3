"""`loop class`: what each pupil got wrong, what to repeat when, and worksheets to print."""

from datetime import date
from pathlib import Path
from typing import Literal

from rich.text import Text

from loop.cli.options import console, write_whole
from loop.job import JobError
from loop.teach.classroom import Class, Report, by_belief, read_class, report, to_print
from loop.teach.words.beliefs import BELIEFS


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
        out.print(Text("\nBeliefs to talk about", "bold"))
        for topic, pupils in held.items():
            out.print(Text(f"{BELIEFS[topic].belief} ({topic}): {', '.join(pupils)}"))


def _print_report(one: Report) -> None:
    out, today = console(), date.today()
    out.print(Text(f"\n{one.pupil}", "bold"))
    if not one.marked:
        out.print(Text("No worksheet in yet."))
    for sheet in one.marked:
        out.print(
            Text(
                f"Worksheet {sheet.number}, {sheet.day.isoformat()}: {sheet.right} right of"
                f" {len(sheet.entries)}"
            )
        )
        for question, given in zip(sheet.questions, sheet.entries, strict=True):
            if not given.right:
                belief = f"; believes: {question.belief}" if given.believed else ""
                out.print(
                    Text(f"  {question.topic}: {given.answer}, not {question.right_answer}{belief}")
                )
    due = [topic for topic, day in one.again.items() if day <= today]
    if due:
        quoted = ", ".join(f'"{topic}"' for topic in due)
        out.print(Text(f"Repeat now: topics = [{quoted}]"))
    for topic, day in one.again.items():
        if day > today:
            out.print(Text(f"Repeat on {day.isoformat()}: {topic}"))


def _print_sheets(of: Class, target: str, paper: Literal["letter", "a4"]) -> None:
    from loop.sheet.worksheets import answers, worksheets

    path = Path(target)
    if path.suffix.lower() != ".pdf":
        raise JobError([f"--print: {target}: worksheets are a PDF; name the file like class.pdf"])
    sheets = to_print(of)
    key = path.with_name(f"{path.stem}-answers.pdf")
    write_whole(path, worksheets(sheets, paper))
    write_whole(key, answers(sheets, paper))
    console().print(Text(f"{len(sheets)} worksheets in {path}, their answers in {key}."))
