"""The command `loop`: one module a command, loaded only when it is the one that was asked for."""

import gc
import importlib
import os
from importlib.metadata import PackageNotFoundError, version
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_command

from loop.cli.streams import printing, usable

# Command: where its function is, and its line in the list of commands.
COMMANDS = {
    "check": ("loop.cli.check:check", "What flows, is it enough, and what is wrong with it."),
    "new": ("loop.cli.new:new", "Ask 12 questions and write a job to start from."),
    "size": ("loop.cli.size:size", "Which hose and which pump, with the odds."),
    "diagnose": ("loop.cli.diagnose:diagnose", "What is failing, and what to measure next."),
    "baseline": ("loop.cli.baseline:baseline", "Fit a job to readings of this boat when clean."),
    "draw": ("loop.cli.draw:draw", "Draw a figure of a loop."),
    "sheet": ("loop.cli.sheet:sheet", "Write the job sheet, HTML or PDF."),
    "explain": ("loop.cli.explain:explain", "The whole reckoning, step by step."),
    "drill": ("loop.cli.drill:drill", "Find a hidden fault, against the clock."),
    "quiz": ("loop.cli.quiz:quiz", "Questions on one idea at a time."),
    "pumps": ("loop.cli.pumps:pumps", "List the pump catalogue, or check a pump file."),
    "schema": ("loop.cli.schema:schema", "Print the JSON Schema of a file or an answer."),
}


class _LateGroup(TyperGroup):
    """A group whose list shows every command, and which loads only the one that is run."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name, listed, rest = super().resolve_command(ctx, args)
        return name, listed and _loaded(listed.name or ""), rest


def _loaded(name: str) -> Any:
    """The command itself, its options included, from its module."""
    target, summary = COMMANDS[name]
    path, function = target.split(":")
    module = importlib.import_module(path)
    if not gc.isenabled():  # held back by `main`: what is loaded by now stays, and is passed over
        gc.freeze()
        gc.enable()
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    alone.command(name, short_help=summary)(getattr(module, function))
    return get_command(alone)


def _listed() -> None:
    """Stands in the list for a command that is not loaded."""


def _show_version(wanted: bool) -> None:
    if wanted:
        try:
            typer.echo(f"loop {version('seawater-loop')}")
        except PackageNotFoundError:
            typer.echo("loop, not installed: run from its source")
        raise typer.Exit


def _root(
    version: Annotated[
        bool,
        typer.Option("--version", help="Show the version.", callback=_show_version, is_eager=True),
    ] = False,
) -> None:
    """The seawater loop that cools a boat's air conditioner: flow, air, heat and faults."""


app = typer.Typer(
    cls=_LateGroup, no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False
)
app.callback()(_root)
for _name, (_, _summary) in COMMANDS.items():
    app.command(_name, short_help=_summary)(_listed)


def main() -> None:
    """Runs the command line.

    Libraries are objects by the hundred thousand that stay to the end. To look for garbage among
    them, again and again while they load and once more as the program ends, would take a sixth of
    a short command's time: it is not looked for while they load, and not at the end.
    """
    gc.disable()
    # Our matrices have a few rows: threads for them, started as the library loads, gain nothing.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    usable()
    try:
        with printing():
            app(prog_name="loop")
    finally:
        gc.freeze()
