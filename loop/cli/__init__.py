"""The command `loop`: one module a command, loaded only when it is the one that was asked for.

A command's options are declared in `loop.cli.commands`, and what it runs stands beside this; help
and completion load the declaration alone.
"""

import gc
import importlib
import keyword
import os
import sys
from types import ModuleType
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_command

from loop.cli.streams import printing, usable
from loop.version import UNINSTALLED, program_version

# Each command, and its line in the list of commands.
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
    """A group whose list shows every command, and which loads only the one that is run."""

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
    """What is wrong with an option, as it is said of a file's values."""
    found = getattr(error.__cause__, "errors", None)
    item = found()[0] if found else {}
    if item.get("type", "value_error") == "value_error":
        # A choice that there is not, with what the validating library puts before it.
        return error.message.removeprefix("Value error, ")
    from loop.mistakes import why

    return why(item)


def in_python(name: str) -> str:
    """A command's name as its module and its functions have it."""
    return f"{name}_" if keyword.iskeyword(name) else name


def _loaded(name: str) -> Any:
    """The command itself, its options included, from its module."""
    own = in_python(name)
    module = importlib.import_module(f"loop.cli.commands.{own}")
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    alone.command(name, short_help=COMMANDS[name])(getattr(module, own))
    return get_command(alone)


def _listed() -> None:
    """Stands in the list for a command that is not loaded."""


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
    """Stands for the module that looks for the validating library's plugins, and has none.

    Told to look for none, that module loads what it would look with all the same, down to a parser
    of mail: 3 % of a short command's time. Whatever else is asked of it, it answers itself.
    """

    STANDS_FOR = "pydantic.plugin._loader"

    @staticmethod
    def get_plugins() -> tuple[()]:
        """The plugins: none."""
        return ()

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):  # such as whether it is a package
            raise AttributeError(name)
        sys.modules.pop(self.STANDS_FOR, None)
        return getattr(importlib.import_module(self.STANDS_FOR), name)


def _print_help(name: str) -> None:
    """What ``loop NAME --help`` prints, in half the time.

    To take an option, this one too, the library loads the one that validates values.
    """
    command = _loaded(name)
    root = typer.Context(get_command(app), info_name="loop")
    typer.echo(command.get_help(typer.Context(command, info_name=name, parent=root)))


def main() -> None:
    """Runs the command line.

    Libraries are objects by the hundred thousand that stay to the end. To look for garbage among
    them, again and again while they load, would take a tenth of a short command's time.
    """
    gc.disable()
    # Our matrices have a few rows: threads for them, started as the library loads, gain nothing.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Plugins of the validating library are looked for among all that is installed; we use none.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    sys.modules.setdefault(_NoPlugins.STANDS_FOR, _NoPlugins(_NoPlugins.STANDS_FOR))
    usable()
    with printing():
        if sys.argv[1:2] and sys.argv[1] in COMMANDS and sys.argv[2:] == ["--help"]:
            _print_help(sys.argv[1])
        else:
            app(prog_name="loop")
