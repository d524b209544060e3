"""Options of `loop class`."""

from typing import Annotated, Literal

import typer

from loop.cli.options import runs, takes


@runs("loop.cli.class_")
def class_(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="Class file (TOML or CSV).", show_default=False)
    ],
    print_: Annotated[
        str | None,
        takes(
            "FILE",
            "Write the worksheets without answers yet, and one answer sheet, as PDF.",
            "--print",
        ),
    ] = None,
    paper: Annotated[
        Literal["letter", "a4"] | None,
        typer.Option("--paper", help="Paper size; by the class's units if left out."),
    ] = None,
) -> None:
    """Show what each pupil of a class got wrong, by belief, and what to repeat when.

    Example:  loop class examples/lessons/class.toml --print class.pdf
    """
