"""`loop new`: plain questions, and a job to start from."""

import sys
import tomllib
from pathlib import Path

import typer

from loop.cli.options import console, write_whole
from loop.cli.output import bare, headed, spaced
from loop.cli.streams import complain
from loop.job import JobError, parse_toml
from loop.job.draft import draft, quoted
from loop.job.questions import (
    DONT_KNOW,
    EVERY,
    QUESTIONS,
    known,
    problem,
    pumps_that_fit,
    read_answer,
    usual,
)
from loop.tomlfile import read_text
from loop.units import System, label


def new(file: str, yes: bool, force: bool, **options: str | None) -> None:
    """Asks about a loop in plain words and writes a commented job that checks at once."""
    given = {name: read_answer(text) for name, text in options.items() if text is not None}
    target = Path(file)
    if target.is_dir() or not target.parent.is_dir():
        raise JobError([f"{file}: {'is a folder' if target.is_dir() else 'no such folder'}"])
    if target.exists() and not force:
        raise JobError(
            [f"{file}: is there already; give another name, or --force to write over it"]
        )
    if not yes and not sys.stdin.isatty() and not set(QUESTIONS) <= set(given):
        raise JobError(
            ["no terminal to ask on; give every answer as an option, or --yes for the rest"]
        )
    kept = _Kept(target)
    folder = str(target.parent)
    _refuse_wrong(given, folder)
    answers = given if yes else _asked(given, kept, folder)
    values, guessed = known(answers, folder)
    _refuse_wrong(values, folder)
    text = draft(values, guessed)
    parse_toml(text, file, target.parent)
    write_whole(target, text)
    kept.forget()
    count = f" {len(guessed)} of its values are guesses." if guessed else ""
    console().print(f"Wrote {file}.{count} Next: loop check {file}")


class _Kept:
    """The answers so far, beside the job that is to be written, until it is."""

    def __init__(self, target: Path) -> None:
        self.path = target.parent / f".{target.name}.answers"

    def read(self) -> dict[str, str]:
        """The answers of a run that was broken off; none where nothing can be read."""
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
        """Takes them away: the job holds them now."""
        self.path.unlink(missing_ok=True)


def _asked(given: dict[str, str], kept: _Kept, folder: str) -> dict[str, str]:
    """An answer to every question: as given, as kept from a run broken off, or asked."""
    out = console()
    answers: dict[str, str] = {}
    before = kept.read()
    for name in EVERY:
        text = given.get(name, before.get(name))
        if text is not None and problem(name, text, answers, folder) is None:
            answers[name] = text
    again = sum(name in answers and name not in given for name in EVERY)
    left = [name for name in QUESTIONS if name not in answers]
    if again:
        out.print(f"Going on: {again} answers are kept in {kept.path}. Delete it to start over.")
    if left:
        out.print("Every quantity needs its unit. Enter, or don't know: a guess, as in brackets.")
    try:
        for name in left:
            answers[name] = _ask(name, answers, folder)
            kept.keep(answers)
    except (KeyboardInterrupt, typer.Abort):
        if answers:
            print(file=sys.stderr)  # off the line of the question
            complain("The answers so far are kept: give the same command to go on.")
        raise
    return answers


def _refuse_wrong(answers: dict[str, str], folder: str) -> None:
    wrong = [
        f"--{name.replace('_', '-')}: {why}"
        for name, answer in answers.items()
        if (why := problem(name, answer, answers, folder))
    ]
    if wrong:
        raise JobError(wrong)


def _ask(name: str, answers: dict[str, str], folder: str) -> str:
    """The answer to one question, asked again until it can be read."""
    so_far, _ = known(answers, folder)
    before = {key: text for key, text in so_far.items() if key != name}
    suggested = usual(name, before, folder)
    if name == "pump":
        _list_pumps(before, folder)
    while True:
        typed = str(
            typer.prompt(f"{QUESTIONS[name]} [{suggested}]", default="", show_default=False)
        )
        answer = read_answer(typed) or DONT_KNOW
        why = problem(name, answer, {k: v for k, v in before.items() if k in answers}, folder)
        if why is None:
            return answer
        console().print(f"  {why}")


def _list_pumps(answers: dict[str, str], folder: str) -> None:
    """Prints the pumps that could fit, the weakest first."""
    units: System = "si" if answers["units"] == "si" else "us"
    fits, out = pumps_that_fit(answers, folder), console()
    if not fits:
        out.print("No pump that is known here fits; `loop pumps --new` writes a file of yours.")
        return
    flow, head = label("flow", units), label("head", units)
    table = headed("Pumps that could fit", f"most\n{flow}", f"shut-off\n{head}", "power\nW")
    for pump in fits:
        table.add_row(
            pump.name,
            bare(pump.last_flow, "flow", units),
            bare(pump.shutoff_head, "head", units),
            bare(float(pump.power(pump.last_flow)), "power", units),
        )
    out.print(spaced(table))
