"""Options of `loop pumps`."""

from typing import Annotated

import typer

from loop.cli.options import JsonOption, pump_names, runs
from loop.units import System


@runs("loop.cli.pumps")
def pumps(
    files: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[PUMP]...",
            help="Pump files to check, or catalogue names.",
            autocompletion=pump_names,
        ),
    ] = None,
    units: Annotated[System, typer.Option("--units", help="Units to show.")] = "us",
    as_json: JsonOption = False,
) -> None:
    """List the pump catalogue, or check pump files and show their curves.

    Example:  loop pumps demo-ac-350 my-pump.toml
    """
