"""Options of `loop call`."""

from typing import Annotated

import typer

from loop.cli.commands.boat import (
    BleedOption,
    BoreOption,
    DcOption,
    LengthOption,
    PumpHeightOption,
    PumpOption,
    SeaOption,
    ToolsOption,
    UnitOption,
)
from loop.cli.options import UnitsOption, runs


@runs("loop.cli.call")
def call(
    job: Annotated[
        str | None, typer.Argument(metavar="[JOB]", help="Job file (TOML).", show_default=False)
    ] = None,
    file: Annotated[
        str, typer.Option("--file", "-f", help="Where the call is kept; resumed where it exists.")
    ] = "call.toml",
    tools: ToolsOption = None,
    unit: UnitOption = None,
    bore: BoreOption = None,
    length: LengthOption = None,
    pump: PumpOption = None,
    pump_height: PumpHeightOption = None,
    sea: SeaOption = None,
    bleed: BleedOption = False,
    dc: DcOption = False,
    units: UnitsOption = None,
) -> None:
    """Work a service call step by step; kept after every answer, undone, resumed.

    Without a job file, and without --unit, five questions about the boat come first.

    Example:  loop call examples/kittiwake.toml --tools "bucket, thermometer"
    """
