"""Options of `loop draw`."""

from typing import Annotated

import typer

from loop.cli.options import JobPath, OutputOption, UnitsOption, runs, takes
from loop.words.help import FIGURES

FigureOption = Annotated[
    str,
    typer.Option(
        "--figure",
        metavar="NAME",
        help="; ".join(f"{name}: {what}" for name, what in FIGURES.items()) + ".",
    ),
]


@runs("loop.cli.draw", draws=True)
def draw(
    job: JobPath,
    output: OutputOption,
    figure: FigureOption = "curves",
    branch: Annotated[
        str, takes("BRANCH", "Branch that profile and heads follow; the worst unit's if left out.")
    ] = "",
    units: UnitsOption = None,
) -> None:
    """Draw a figure of a loop as PNG, SVG or PDF, by the file name's ending.

    Example:  loop draw examples/kittiwake.toml -o kittiwake.png --figure profile
    """
