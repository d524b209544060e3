"""`loop new`: a dozen questions, and a job to start from."""

import sys
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from loop.cli.options import complain, console, user_errors, write_whole
from loop.job import JobError, parse_toml
from loop.job.draft import QUESTIONS, Answers, draft, problem


def _answer(name: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(help=f"{QUESTIONS[name]}.", show_default=False)
    return option


@user_errors
def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="Job file to write.")] = "loop.toml",
    title: Annotated[str | None, _answer("title")] = None,
    units: Annotated[str | None, _answer("units")] = None,
    sea_temperature: Annotated[str | None, _answer("sea_temperature")] = None,
    salinity: Annotated[str | None, _answer("salinity")] = None,
    cooling: Annotated[str | None, _answer("cooling")] = None,
    pump: Annotated[str | None, _answer("pump")] = None,
    bore: Annotated[str | None, _answer("bore")] = None,
    lining: Annotated[str | None, _answer("lining")] = None,
    intake_height: Annotated[str | None, _answer("intake_height")] = None,
    suction_length: Annotated[str | None, _answer("suction_length")] = None,
    strainer_loss: Annotated[str | None, _answer("strainer_loss")] = None,
    pump_height: Annotated[str | None, _answer("pump_height")] = None,
    run_length: Annotated[str | None, _answer("run_length")] = None,
    unit_height: Annotated[str | None, _answer("unit_height")] = None,
    condenser_loss: Annotated[str | None, _answer("condenser_loss")] = None,
    outlet_length: Annotated[str | None, _answer("outlet_length")] = None,
    outlet_height: Annotated[str | None, _answer("outlet_height")] = None,
    yes: Annotated[
        bool, typer.Option("--yes", "-y", help="Take the usual for every question left open.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a file.")] = False,
) -> None:
    """Ask about a loop in plain words and write a commented job that checks at once.

    Example:  loop new my-boat.toml --yes --cooling "9000 BTU/h" --bore "5/8 in"
    """
    given = {k: v for k, v in locals().items() if k in QUESTIONS and v is not None}
    target = Path(file)
    if target.exists() and not force:
        raise JobError(
            [f"{file}: is there already; give another name, or --force to write over it"]
        )
    wrong = [f"--{k.replace('_', '-')}: {why}" for k, v in given.items() if (why := problem(k, v))]
    if not yes and not sys.stdin.isatty() and len(given) < len(QUESTIONS):
        wrong.append("no terminal to ask on; give every answer as an option, or --yes for the rest")
    if wrong:
        raise JobError(wrong)
    answers = Answers(**given) if yes else _ask(given)
    text = draft(answers)
    try:
        parse_toml(text, file, target.parent)
    except JobError:
        complain("These answers do not go together; nothing was written:")
        raise
    write_whole(target, text)
    console().print(f"Wrote {file}. Next: loop check {file}", markup=False)


def _ask(given: dict[str, str]) -> Answers:
    """The answers, asked one at a time, each again until it can be read."""
    usual = asdict(Answers())
    out = console()
    out.print("Enter takes what is in brackets. Every quantity needs its unit.")
    answers = dict(given)
    for name, question in QUESTIONS.items():
        while name not in answers:
            answer = str(typer.prompt(question, default=usual[name])).strip()
            why = problem(name, answer)
            if why is None:
                answers[name] = answer
            else:
                out.print(f"  {why}", markup=False)
    return Answers(**answers)
