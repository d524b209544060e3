"""Options of `loop card`."""

from typing import Annotated

import typer

from loop.cli.commands.boat import with_boat
from loop.cli.options import UnitsOption, runs, takes


@with_boat
@runs("loop.cli.card")
def card(
    output: Annotated[
        str,
        takes(
            "FILE",
            "Page for a phone (.html), paper (.pdf), or a folder for a folder of jobs.",
            "--output",
            "-o",
            show_default=False,
        ),
    ],
    job: Annotated[
        str | None,
        typer.Argument(
            metavar="JOB", help="Job file (TOML), or a folder of them.", show_default=False
        ),
    ] = None,
    units: UnitsOption = None,
) -> None:
    """Write a card that finds the fault on a phone, with no signal and nothing installed.

    Example:  loop card examples/kittiwake.toml -o kittiwake.html
    """
