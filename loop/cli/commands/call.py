"""Options of `loop call`."""

from typing import Annotated

from loop.cli.commands.boat import JobOrNone, ToolsOption, with_boat
from loop.cli.options import UnitsOption, runs, takes


@with_boat
@runs("loop.cli.call")
def call(
    job: JobOrNone = None,
    file: Annotated[
        str | None,
        takes(
            "FILE",
            "File that keeps the call; an existing one is resumed. If left out: JOB-call.toml "
            "here; without a job, a new file, call.toml.",
            "--file",
            "-f",
        ),
    ] = None,
    tools: ToolsOption = None,
    units: UnitsOption = None,
) -> None:
    """Work a service call step by step; saved after every answer, with undo and resume.

    Without a job file, and without --unit, five questions about the boat come first.

    Example:  loop call examples/kittiwake.toml --tools "bucket, thermometer"
    """
