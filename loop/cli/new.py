"""`loop new`: plain questions, and a job file to start from."""

import sys
import tomllib
from pathlib import Path

import typer

from loop.cli.options import console, free_place, option, write_whole
from loop.cli.output import headed, spaced
from loop.cli.streams import complain
from loop.cli.typed import ask
from loop.job import JobError, parse_toml
from loop.job.draft import draft
from loop.job.guesses import guesses
from loop.job.questions import (
    DONT_KNOW,
    EVERY,
    QUESTIONS,
    answer_error,
    complete_answers,
    pumps_that_fit,
    read_answer,
    usual_answer,
)
from loop.pumps.writing import plate_tables, plate_values, pump_text
from loop.tomlfile import quoted, read_text
from loop.units import bare, label, system_of
from loop.words.commands import SAY
from loop.words.help import ANSWERS


def new(file: str, yes: bool, force: bool, **options: str | None) -> None:
    """Asks about a loop in plain words and writes a commented job that checks at once."""
    given = {name: read_answer(text) for name, text in options.items() if text is not None}
    target = free_place(file, force)
    if not yes and not sys.stdin.isatty() and not set(QUESTIONS) <= set(given):
        raise JobError([SAY("new-no-terminal")])
    kept = _Kept(target)
    folder = str(target.parent)
    _refuse_wrong(given, folder)
    answers = given if yes else _asked(given, kept, folder)
    values, guessed = complete_answers(answers, folder)
    _refuse_wrong(values, folder)
    values = _pump_written(values, target, force)
    text = draft(values, guessed)
    job = parse_toml(text, file, target.parent)
    write_whole(target, text)
    kept.forget()
    console().print(SAY("new-written", file=file, guesses=len(guesses(job)) or None))


def _pump_written(values: dict[str, str], target: Path, force: bool) -> dict[str, str]:
    """The answers; a pump given by its nameplate is written to a pump file, named instead."""
    figures = plate_values(values["pump"])
    if figures is None:
        return values
    path = free_place(str(target.with_name(f"{target.stem}-pump.toml")), force)
    write_whole(path, pump_text(plate_tables(figures, path.stem, values["supply"], values["bore"])))
    console().print(SAY("new-plate", file=str(path)))
    return {**values, "pump": path.name}


class _Kept:
    """The answers so far, kept beside the target file until the job is written."""

    def __init__(self, target: Path) -> None:
        self.path = target.parent / f".{target.name}.answers"

    def read(self) -> dict[str, str]:
        """The answers of an interrupted run; none if they cannot be read."""
        try:
            found = tomllib.loads(read_text(self.path, "answers"))
        except (OSError, ValueError):
            return {}
        return {k: v for k, v in found.items() if k in EVERY and isinstance(v, str)}

    def keep(self, answers: dict[str, str]) -> None:
        """Writes the answers so far."""
        lines = (f"{name} = {quoted(text)}\n" for name, text in answers.items())
        write_whole(self.path, "".join(lines))

    def forget(self) -> None:
        """Deletes them, once the job file holds them."""
        self.path.unlink(missing_ok=True)


def _asked(given: dict[str, str], kept: _Kept, folder: str) -> dict[str, str]:
    """An answer to every question: given, kept from an interrupted run, or asked."""
    out = console()
    answers: dict[str, str] = {}
    before = kept.read()
    for name in EVERY:
        text = given.get(name, before.get(name))
        if text is not None and answer_error(name, text, answers, folder) is None:
            answers[name] = text
    again = sum(name in answers and name not in given for name in EVERY)
    left = [name for name in QUESTIONS if name not in answers]
    if again:
        out.print(SAY("new-going-on", count=again, file=str(kept.path)))
    if left:
        out.print(SAY("new-how"))
    try:
        for name in left:
            answers[name] = _ask(name, answers, folder)
            kept.keep(answers)
    except (KeyboardInterrupt, typer.Abort):
        if answers:
            print(file=sys.stderr)  # leave the line of the question
            complain(SAY("new-kept"))
        raise
    return answers


def _refuse_wrong(answers: dict[str, str], folder: str) -> None:
    wrong = [
        f"{option(name)}: {why}"
        for name, answer in answers.items()
        if (why := answer_error(name, answer, answers, folder))
    ]
    if wrong:
        raise JobError(wrong)


def _ask(name: str, answers: dict[str, str], folder: str) -> str:
    """The answer to one question, asked again until it is valid."""
    so_far, _ = complete_answers(answers, folder)
    before = {key: text for key, text in so_far.items() if key != name}
    suggested = usual_answer(name, before, folder)
    if name == "pump":
        _list_pumps(before, folder)
    while True:
        answer = read_answer(ask(ANSWERS[name], suggested)) or DONT_KNOW
        why = answer_error(name, answer, {k: v for k, v in before.items() if k in answers}, folder)
        if why is None:
            return answer
        console().print(f"  {why}")


def _list_pumps(answers: dict[str, str], folder: str) -> None:
    """Prints the pumps that could fit, weakest first."""
    units = system_of(answers["units"])
    fits, out = pumps_that_fit(answers, folder), console()
    if not fits:
        out.print(SAY("new-no-pump"))
        return
    flow, head = label("flow", units), label("head", units)
    table = headed(
        SAY("new-pumps"),
        f"{SAY('head-most')}\n{flow}",
        f"{SAY('head-shut-off')}\n{head}",
        f"{SAY('head-power')}\nW",
    )
    for pump in fits:
        table.add_row(
            pump.name,
            bare(pump.last_flow, "flow", units),
            bare(pump.shutoff_head, "head", units),
            bare(float(pump.power(pump.last_flow)), "power", units),
        )
    out.print(spaced(table))
