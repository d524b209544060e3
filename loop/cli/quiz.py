"""`loop quiz`: questions on one idea at a time."""

import sys

from rich.text import Text

from loop.cli.options import console
from loop.job import JobError
from loop.teach import TOPICS, AnswerError, Question, about, questions
from loop.units import System

_STOP = {"q", "quit", "exit"}


def quiz(topic: list[str] | None, count: int, seed: int | None, units: System, list_: bool) -> None:
    """Ask questions with numbers, judge each answer and explain it."""
    out = console()
    if list_:
        for name in TOPICS:
            out.print(Text(f"{name:<18} {about(name)}"))
        return
    try:
        asked = questions(count, seed, topic or (), units)
    except LookupError as error:
        raise JobError([f"--topic: {error.args[0]}"]) from None
    right = answered = 0
    for number, question in enumerate(asked, start=1):
        out.print(Text(f"Question {number} of {len(asked)}: {question.topic}", "bold"))
        out.print(Text(question.text))
        for letter, choice in question.lettered:
            out.print(Text(f"  {letter}) {choice}"))
        judged = _answer(question)
        if judged is None:
            break
        answered += 1
        right += judged
        word, style = ("Right.", "bold green") if judged else ("No.", "bold red")
        out.print(Text.assemble((word, style), f" The answer is {question.right_answer}."))
        out.print(Text(question.why))
        out.print()
    out.print(Text(f"{right} right of {answered} answered.", "bold"))


def _answer(question: Question) -> bool | None:
    """Whether the answer typed is right; None where the person stops."""
    unit = f" ({question.unit})" if question.unit else ""
    while True:
        print(f"Your answer{unit}, q to stop: ", end="", flush=True)
        line = sys.stdin.readline()
        if not sys.stdin.isatty():
            print()  # what was typed elsewhere did not end the line here
        if not line or line.strip().lower() in _STOP:
            return None
        try:
            return question.judge(line)
        except AnswerError as error:
            print(f"{str(error)[0].upper()}{str(error)[1:]}.")
