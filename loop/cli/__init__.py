"""The command `loop`: one module per command, loaded only when that command is run.

A command's options are declared in `loop.cli.commands`, and its function is in this package; help
and completion load only the declaration.
"""

import gc
import importlib
import keyword
import os
import sys
from functools import partial
from types import ModuleType
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_command

from loop.cli.streams import printing, usable
from loop.version import UNINSTALLED, program_version

# Each command, and its line in the command list.
COMMANDS = {
    "check": "What flows, is it enough, and what is wrong with it.",
    "new": "Ask 12 questions and write a job to start from.",
    "size": "Which hose and which pump, with the odds.",
    "sweep": "Flows over a grid of changes, as a table or CSV.",
    "diagnose": "What is failing, and what to measure next.",
    "call": "Work a service call step by step.",
    "faults": "Count the faults found, over a folder of jobs.",
    "baseline": "Fit a job to readings of this boat when clean.",
    "draw": "Draw a figure of a loop.",
    "sheet": "Write the job sheet, HTML or PDF.",
    "card": "Write a card that finds the fault on a phone, offline.",
    "explain": "Show the calculation, step by step.",
    "drill": "Find a hidden fault, against the clock.",
    "quiz": "Questions made from what people believe of a loop.",
    "lesson": "Ten lessons: predict, reveal, change, see, explain.",
    "class": "What a class got wrong, what to repeat, and worksheets.",
    "page": "Open the page: change a loop and watch it answer.",
    "pumps": "List the pump catalog, or check a pump file.",
    "schema": "Print the JSON Schema of a file or an answer.",
}


class _LateGroup(TyperGroup):
    """A group that lists every command but loads only the one that is run."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name, listed, rest = super().resolve_command(ctx, args)
        return name, listed and _loaded(listed.name or ""), rest

    def invoke(self, ctx: Any) -> Any:
        try:
            return super().invoke(ctx)
        except typer.BadParameter as error:
            error.message = _in_plain_words(error)
            raise


def _in_plain_words(error: typer.BadParameter) -> str:
    """The error of an option, worded as for a value in a file."""
    found = getattr(error.__cause__, "errors", None)
    item = found()[0] if found else {}
    if item.get("type", "value_error") == "value_error":
        # An invalid choice; the message carries pydantic's prefix.
        return error.message.removeprefix("Value error, ")
    from loop.mistakes import why

    return why(item)


def in_python(name: str) -> str:
    """A command's name as used for its module and function."""
    return f"{name}_" if keyword.iskeyword(name) else name


def _loaded(name: str) -> Any:
    """The command with its options, from its module."""
    own = in_python(name)
    module = importlib.import_module(f"loop.cli.commands.{own}")
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    alone.command(name, short_help=COMMANDS[name])(getattr(module, own))
    return _plain(get_command(alone))


def _plain(command: Any) -> Any:
    """The command with arguments shown as ``JOB``, without the type and braces that typer adds."""
    for one in command.params:
        if one.param_type_name == "argument":
            one.display_type_rich = lambda ctx: ""
            if one.required:
                one.get_usage_pieces = partial(lambda name, ctx: [name], one.metavar)
    return command


def _listed() -> None:
    """Placeholder in the list for a command that is not loaded."""


def _show_version(wanted: bool) -> None:
    if wanted:
        found = program_version()
        run_from = "loop, not installed: run from its source"
        typer.echo(run_from if found == UNINSTALLED else f"loop {found}")
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
for _name, _summary in COMMANDS.items():
    app.command(_name, short_help=_summary)(_listed)


class _NoPlugins(ModuleType):
    """Replaces pydantic's plugin loader with one that has no plugins.

    Even with plugins disabled, that module loads everything it would search with, down to an email
    parser: 3 % of a short command's time. Any other attribute comes from the real module.
    """

    STANDS_FOR = "pydantic.plugin._loader"

    @staticmethod
    def get_plugins() -> tuple[()]:
        """No plugins."""
        return ()

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):  # such as whether it is a package
            raise AttributeError(name)
        sys.modules.pop(self.STANDS_FOR, None)
        return getattr(importlib.import_module(self.STANDS_FOR), name)


def _print_help(name: str) -> None:
    """Prints the same as ``loop NAME --help``, in half the time.

    To parse any option, even this one, typer loads pydantic.
    """
    command = _loaded(name)
    root = typer.Context(get_command(app), info_name="loop")
    typer.echo(command.get_help(typer.Context(command, info_name=name, parent=root)))


def main() -> None:
    """Runs the command line.

    Imports create hundreds of thousands of objects that live to the end. Garbage collection passes
    over them while they load would take a tenth of a short command's time.
    """
    gc.disable()
    # Our matrices have a few rows: threads, started as numpy loads, gain nothing.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Pydantic would search every installed package for plugins; we use none.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    sys.modules.setdefault(_NoPlugins.STANDS_FOR, _NoPlugins(_NoPlugins.STANDS_FOR))
    usable()
    with printing():
        if sys.argv[1:2] and sys.argv[1] in COMMANDS and sys.argv[2:] == ["--help"]:
            _print_help(sys.argv[1])
        else:
            app(prog_name="loop")
