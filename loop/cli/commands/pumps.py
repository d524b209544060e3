"""Options of `loop pumps`."""

from typing import Annotated, Any

import typer

from loop.cli.options import ForceOption, JsonOption, ShownUnits, pump_names, runs, takes
from loop.words.help import PUMP_ANSWERS


def _answer(name: str) -> Any:
    return takes("TEXT", f"With --new: {PUMP_ANSWERS[name]}.")


@runs("loop.cli.pumps")
def pumps(
    files: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="PUMP",
            help="Pump files to check, or catalog names.",
            autocompletion=pump_names,
        ),
    ] = None,
    units: ShownUnits = "us",
    as_json: JsonOption = False,
    new: Annotated[str | None, takes("FILE", "Write a pump file: asks what it needs.")] = None,
    points: Annotated[
        str | None, takes("CSV", "With --new: table of a datasheet; - for standard input.")
    ] = None,
    name: Annotated[str | None, _answer("name")] = None,
    runs_on: Annotated[str | None, _answer("runs_on")] = None,
    port: Annotated[str | None, _answer("port")] = None,
    self_priming: Annotated[str | None, _answer("self_priming")] = None,
    most_flow: Annotated[str | None, _answer("most_flow")] = None,
    most_head: Annotated[str | None, _answer("most_head")] = None,
    power: Annotated[str | None, _answer("power")] = None,
    force: ForceOption = False,
) -> None:
    """List the pump catalog, check pump files and show their curves, or write one.

    Example:  loop pumps demo-ac-350 my-pump.toml
    """
