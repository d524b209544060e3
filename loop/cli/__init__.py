"""The command `loop`: one module a command, loaded only when it is the one that was asked for."""

import importlib
import os
import sys
from collections.abc import Callable
from importlib.metadata import version
from typing import Annotated

import typer

# Command: where its function is, and its line in the list of commands.
COMMANDS = {
    "check": ("loop.cli.check:check", "What flows, is it enough, and what is wrong with it."),
    "new": ("loop.cli.new:new", "Ask a dozen questions and write a job to start from."),
    "size": ("loop.cli.size:size", "Which hose and which pump, with the odds."),
    "diagnose": ("loop.cli.diagnose:diagnose", "What is failing, and what to measure next."),
    "baseline": ("loop.cli.baseline:baseline", "Fit a job to readings of this boat when clean."),
    "draw": ("loop.cli.draw:draw", "Draw a figure of a loop."),
    "sheet": ("loop.cli.sheet:sheet", "Write the job sheet, HTML or PDF."),
    "explain": ("loop.cli.explain:explain", "The whole reckoning, step by step."),
    "drill": ("loop.cli.drill:drill", "Find a hidden fault, against the clock."),
    "quiz": ("loop.cli.quiz:quiz", "Questions on one idea at a time."),
    "pumps": ("loop.cli.pumps:pumps", "List the pump catalogue, or check a pump file."),
    "schema": ("loop.cli.schema:schema", "Print the JSON Schema of the job file."),
}


def _load(target: str) -> Callable[..., None]:
    module, function = target.split(":")
    loaded: Callable[..., None] = getattr(importlib.import_module(module), function)
    return loaded


def _elsewhere() -> None:
    """Stands in the list for a command that this call does not run."""


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"loop {version('seawater-loop')}")
        raise typer.Exit


def _root(
    version: Annotated[
        bool,
        typer.Option("--version", help="Show the version.", callback=_show_version, is_eager=True),
    ] = False,
) -> None:
    """The seawater loop that cools a boat's air conditioner: flow, air, heat and faults."""


def application(asked: str | None) -> typer.Typer:
    """The commands, with only `asked` loaded; all of them where it is None."""
    app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False)
    app.callback()(_root)
    for name, (target, summary) in COMMANDS.items():
        function = _load(target) if asked in (None, name) else _elsewhere
        app.command(name, short_help=summary)(function)
    return app


def main() -> None:
    """Runs the command line."""
    words = [word for word in sys.argv[1:] if not word.startswith("-")]
    completing = any(name.startswith("_LOOP") and name.endswith("COMPLETE") for name in os.environ)
    application(None if completing else next(iter(words), ""))(prog_name="loop")
