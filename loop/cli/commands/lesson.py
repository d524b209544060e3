"""Options of `loop lesson`."""

from typing import Annotated, Literal

import typer

from loop.cli.options import ShownUnits, runs, takes


@runs("loop.cli.lesson")
def lesson(
    number: Annotated[
        int | None,
        typer.Argument(metavar="N", min=1, help="Lesson number; all are listed if left out."),
    ] = None,
    picture: Annotated[
        str | None, takes("FILE", "Write the before-and-after picture, SVG.")
    ] = None,
    worksheet: Annotated[str | None, takes("FILE", "Write the worksheet, PDF.")] = None,
    answers: Annotated[str | None, takes("FILE", "Write the answer sheet, PDF.")] = None,
    paper: Annotated[
        Literal["letter", "a4"] | None,
        typer.Option("--paper", help="Paper size; by the units if left out."),
    ] = None,
    units: ShownUnits = "us",
) -> None:
    """Play a lesson: predict, reveal, change, see, explain; or write its sheets and its picture.

    Example:  loop lesson 1
    """
