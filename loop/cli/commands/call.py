"""Options of `loop call`."""

from typing import Annotated

import typer

from loop.cli.commands.boat import ToolsOption, with_boat
from loop.cli.options import UnitsOption, runs


@with_boat
@runs("loop.cli.call")
def call(
    job: Annotated[
        str | None, typer.Argument(metavar="JOB", help="Job file (TOML).", show_default=False)
    ] = None,
    file: Annotated[
        str | None,
        typer.Option(
            "--file",
            "-f",
            metavar="FILE",
            help="File that keeps the call; an existing one is resumed. If left out: JOB-call.toml "
            "here, or call.toml without a job.",
        ),
    ] = None,
    tools: ToolsOption = None,
    units: UnitsOption = None,
) -> None:
    """Work a service call step by step; saved after every answer, with undo and resume.

    Without a job file, and without --unit, five questions about the boat come first.

    Example:  loop call examples/kittiwake.toml --tools "bucket, thermometer"
    """
