"""`loop quiz`: questions made from common beliefs about loops."""

from datetime import date

from rich.text import Text

from loop.cli.options import console, place_for, write_whole
from loop.cli.typed import ENDS, typed
from loop.job import JobError
from loop.teach.quiz import TOPICS, AnswerError, Question, questions
from loop.teach.record import entry, read_record, record_text, schedule
from loop.units import System
from loop.words.course import SAY


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
    kept = [] if record is None else read_record(place_for(record))
    due = [name for name, day in schedule(kept).items() if day <= today]
    try:
        asked = questions(count, seed, topic or due, units)
    except LookupError as error:
        raise JobError([f"--topic: {error.args[0]}"]) from None
    if due and not topic:
        out.print(Text(SAY("quiz-due", topics=", ".join(due))))
    before = len(kept)
    for number, question in enumerate(asked, start=1):
        out.print(Text(SAY("quiz-number", number=number, count=len(asked)), "bold"))
        out.print(Text(question.text))
        for letter, choice in question.lettered:
            out.print(Text(f"  {letter}) {choice.text}"))
        chosen = _answer(question)
        if chosen is None:
            break
        kept.append(entry(question, chosen, today))
        right = chosen == question.right
        word, style = ("right", "bold green") if right else ("wrong", "bold red")
        said = "" if right else f" {SAY('quiz-answer', answer=question.right_answer)}"
        out.print(Text.assemble((SAY(word), style), said))
        out.print(Text(question.feedback(chosen)))
        if chosen == question.tempting:
            out.print(Text(question.why))
        out.print()
    new = kept[before:]
    out.print(Text(SAY("quiz-score", right=sum(one.right for one in new), count=len(new)), "bold"))
    if record is not None:
        write_whole(record, record_text(kept))
        for name, day in schedule(kept).items():
            out.print(Text(SAY("quiz-again", topic=name, day=day.isoformat())))


def _answer(question: Question) -> int | None:
    """The choice typed; None if the person stops."""
    while (line := typed(SAY("quiz-prompt"))) is not None and line.lower() not in ENDS:
        try:
            return question.read(line)
        except AnswerError as error:
            print(f"{str(error)[0].upper()}{str(error)[1:]}.")
    return None
