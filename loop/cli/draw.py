"""`loop draw`: a figure of a loop, to a file."""

from typing import TYPE_CHECKING, Annotated

import typer

from loop.cli.options import JobPath, OutputOption, UnitsOption, load_job, user_errors, write_whole
from loop.draw import FIGURES, file_kind, to_bytes
from loop.draw import draw as make
from loop.job import Job

if TYPE_CHECKING:
    from loop.size import SizeResult

FigureOption = Annotated[
    str,
    typer.Option(
        "--figure",
        metavar="NAME",
        help="; ".join(f"{name}: {what}" for name, what in FIGURES.items()) + ".",
    ),
]


@user_errors
def draw(
    job: JobPath,
    output: OutputOption,
    figure: FigureOption = "curves",
    branch: Annotated[
        str,
        typer.Option(help="Branch that profile and heads follow; the worst unit's if left out."),
    ] = "",
    units: UnitsOption = None,
) -> None:
    """Draw a figure of a loop as PNG, SVG or PDF, by the ending of the file's name.

    Example:  loop draw examples/kittiwake.toml -o kittiwake.png --figure profile
    """
    kind = file_kind(output)
    loaded = load_job(job, units)
    made = make(_sized(loaded) if figure == "sizes" else loaded, figure, branch=branch)
    write_whole(output, to_bytes(made, kind))
    print(f"{output}: {made.get_label()}.")


def _sized(job: Job) -> "SizeResult":
    """The answer of a sizing, loaded only for the figure that shows it."""
    from loop.size import size

    return size(job)
