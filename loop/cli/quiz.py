"""`loop quiz`: questions made from beliefs that people hold of a loop."""

import sys
from datetime import date

from rich.text import Text

from loop.cli.options import console, write_whole
from loop.job import JobError
from loop.teach.quiz import TOPICS, AnswerError, Question, questions
from loop.teach.record import entry, read_record, record_text, schedule
from loop.units import System

_STOP = {"q", "quit", "exit"}


def quiz(
    topic: list[str] | None,
    count: int,
    seed: int | None,
    record: str | None,
    units: System,
    list_: bool,
) -> None:
    """Ask about loops, and say why a wrong answer tempts; keep a record where one is named."""
    out, today = console(), date.today()
    if list_:
        for name, one in TOPICS.items():
            out.print(Text(f"{name:<14} {one.belief}"))
        return
    kept = read_record(record) if record is not None else []
    due = [name for name, day in schedule(kept).items() if day <= today]
    try:
        asked = questions(count, seed, topic or due, units)
    except LookupError as error:
        raise JobError([f"--topic: {error.args[0]}"]) from None
    if due and not topic:
        out.print(Text(f"Due again today: {', '.join(due)}."))
    before = len(kept)
    for number, question in enumerate(asked, start=1):
        out.print(Text(f"Question {number} of {len(asked)}", "bold"))
        out.print(Text(question.text))
        for letter, choice in question.lettered:
            out.print(Text(f"  {letter}) {choice.text}"))
        chosen = _answer(question)
        if chosen is None:
            break
        kept.append(entry(question, chosen, today))
        right = chosen == question.right
        word, style = ("Right.", "bold green") if right else ("No.", "bold red")
        said = "" if right else f" The answer is {question.right_answer}."
        out.print(Text.assemble((word, style), said))
        out.print(Text(question.feedback(chosen)))
        if chosen == question.tempting:
            out.print(Text(question.why))
        out.print()
    new = kept[before:]
    out.print(Text(f"{sum(one.right for one in new)} right of {len(new)} answered.", "bold"))
    if record is not None:
        write_whole(record, record_text(kept))
        for name, day in schedule(kept).items():
            out.print(Text(f"{name} comes again on {day.isoformat()}."))


def _answer(question: Question) -> int | None:
    """The choice typed; None where the person stops."""
    while True:
        print("Your answer, q to stop: ", end="", flush=True)
        line = sys.stdin.readline()
        if not sys.stdin.isatty():
            print()  # what was typed elsewhere did not end the line here
        if not line or line.strip().lower() in _STOP:
            return None
        try:
            return question.read(line)
        except AnswerError as error:
            print(f"{str(error)[0].upper()}{str(error)[1:]}.")
