"""Options of `loop explain`."""

from typing import Annotated

import typer

from loop.cli.options import JobPath, JsonOption, UnitsOption, runs, takes


@runs("loop.cli.explain")
def explain(
    job: JobPath,
    part: Annotated[
        str | None,
        takes("N", "Only part N of the file, such as 4 or 9.2.3, and the steps it depends on."),
    ] = None,
    level: Annotated[
        int | None,
        takes(
            "N",
            "1 a first page, 2 each kind of part once, 3 everything (default: 1; with --json 3).",
            min=1,
            max=3,
        ),
    ] = None,
    fade: Annotated[
        bool,
        typer.Option(
            "--fade",
            help="The first of a kind in full, then blanks, then a question; answers last.",
        ),
    ] = False,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show the calculation in steps: formula, numbers, result, source, meaning.

    Parts are numbered as in the file: 9.2.3 is part 9, branch 2, its part 3.

    Example:  loop explain examples/kittiwake.toml --part 4
    """
