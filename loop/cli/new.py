"""`loop new`: plain questions, and a job to start from."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from loop.cli.options import console, pump_names, user_errors, write_whole
from loop.job import JobError, parse_toml
from loop.job.draft import draft
from loop.job.questions import QUESTIONS, problem, usual


def _answer(name: str, completion: Callable[[str], list[str]] | None = None) -> object:
    return typer.Option(
        help=f"{QUESTIONS[name]}.", show_default=False, metavar="TEXT", autocompletion=completion
    )


@user_errors
def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="Job file to write.")] = "loop.toml",
    title: Annotated[str | None, _answer("title")] = None,
    units: Annotated[str | None, _answer("units")] = None,
    sea_temperature: Annotated[str | None, _answer("sea_temperature")] = None,
    salinity: Annotated[str | None, _answer("salinity")] = None,
    cooling: Annotated[str | None, _answer("cooling")] = None,
    supply: Annotated[str | None, _answer("supply")] = None,
    pump: Annotated[str | None, _answer("pump", pump_names)] = None,
    bore: Annotated[str | None, _answer("bore")] = None,
    lining: Annotated[str | None, _answer("lining")] = None,
    intake_height: Annotated[str | None, _answer("intake_height")] = None,
    pump_height: Annotated[str | None, _answer("pump_height")] = None,
    suction_length: Annotated[str | None, _answer("suction_length")] = None,
    strainer_loss: Annotated[str | None, _answer("strainer_loss")] = None,
    unit_height: Annotated[str | None, _answer("unit_height")] = None,
    run_length: Annotated[str | None, _answer("run_length")] = None,
    unit_loss: Annotated[str | None, _answer("unit_loss")] = None,
    outlet_height: Annotated[str | None, _answer("outlet_height")] = None,
    outlet_length: Annotated[str | None, _answer("outlet_length")] = None,
    yes: Annotated[
        bool, typer.Option("--yes", "-y", help="Take the usual for every question left open.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a file.")] = False,
) -> None:
    """Ask about a loop in plain words and write a commented job that checks at once.

    Example:  loop new my-boat.toml --yes --cooling "9000 BTU/h" --bore "5/8 in"
    """
    given = {k: v.strip() for k, v in locals().items() if k in QUESTIONS and v is not None}
    target = Path(file)
    if target.is_dir() or not target.parent.is_dir():
        raise JobError([f"{file}: {'is a folder' if target.is_dir() else 'no such folder'}"])
    if target.exists() and not force:
        raise JobError(
            [f"{file}: is there already; give another name, or --force to write over it"]
        )
    if not yes and not sys.stdin.isatty() and len(given) < len(QUESTIONS):
        raise JobError(
            ["no terminal to ask on; give every answer as an option, or --yes for the rest"]
        )
    answers = _answers(given, str(target.parent), yes)
    text = draft(answers)
    parse_toml(text, file, target.parent)
    write_whole(target, text)
    console().print(f"Wrote {file}. Next: loop check {file}")


def _answers(given: dict[str, str], folder: str, take_usual: bool) -> dict[str, str]:
    """An answer to every question: as given, as usual, or asked until it can be read."""
    _refuse_wrong(given, folder)
    answers = dict(given)
    left = [name for name in QUESTIONS if name not in given]
    if left and not take_usual:
        console().print("Enter takes what is in brackets. Every quantity needs its unit.")
    for name in left:
        suggested = usual(name, answers, folder)
        answers[name] = suggested if take_usual else _ask(name, suggested, answers, folder)
    _refuse_wrong(answers, folder)
    return answers


def _refuse_wrong(answers: dict[str, str], folder: str) -> None:
    wrong = [
        f"--{name.replace('_', '-')}: {why}"
        for name, answer in answers.items()
        if (why := problem(name, answer, answers, folder))
    ]
    if wrong:
        raise JobError(wrong)


def _ask(name: str, suggested: str, answers: dict[str, str], folder: str) -> str:
    """The answer to one question, asked again until it can be read."""
    while True:
        answer = str(typer.prompt(QUESTIONS[name], default=suggested)).strip()
        why = problem(name, answer, answers, folder)
        if why is None:
            return answer
        console().print(f"  {why}")
