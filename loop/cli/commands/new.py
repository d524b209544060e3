"""Options of `loop new`."""

from typing import Annotated, Any

import typer

from loop.cli.options import ForceOption, pump_names, runs, takes
from loop.words.help import ANSWERS


def _answer(name: str, **more: Any) -> Any:
    return takes("TEXT", f"{ANSWERS[name]}.", **more)


@runs("loop.cli.new")
def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="Job file to write.")] = "loop.toml",
    cooling: Annotated[str | None, _answer("cooling")] = None,
    supply: Annotated[str | None, _answer("supply")] = None,
    pump: Annotated[str | None, _answer("pump", autocompletion=pump_names)] = None,
    bore: Annotated[str | None, _answer("bore")] = None,
    sea_temperature: Annotated[str | None, _answer("sea_temperature")] = None,
    intake_height: Annotated[str | None, _answer("intake_height")] = None,
    pump_height: Annotated[str | None, _answer("pump_height")] = None,
    unit_height: Annotated[str | None, _answer("unit_height")] = None,
    outlet_height: Annotated[str | None, _answer("outlet_height")] = None,
    suction_length: Annotated[str | None, _answer("suction_length")] = None,
    pressure_length: Annotated[str | None, _answer("pressure_length")] = None,
    unit_loss: Annotated[str | None, _answer("unit_loss")] = None,
    title: Annotated[str | None, _answer("title")] = None,
    units: Annotated[str | None, _answer("units")] = None,
    salinity: Annotated[str | None, _answer("salinity")] = None,
    lining: Annotated[str | None, _answer("lining")] = None,
    strainer_loss: Annotated[str | None, _answer("strainer_loss")] = None,
    yes: Annotated[
        bool, typer.Option("--yes", "-y", help="Ask nothing: guess every answer left open.")
    ] = False,
    force: ForceOption = False,
) -> None:
    """Ask about a loop in plain words and write a commented job, ready to check.

    Enter, or "don't know", takes the usual value and marks it as a guess. If you break off, the
    answers are kept: the same command continues from there.

    Example:  loop new my-boat.toml --yes --cooling "9000 BTU/h" --bore "5/8 in"
    """
