"""Options of `loop explain`."""

from typing import Annotated

import typer

from loop.cli.options import JobPath, UnitsOption, runs


@runs("loop.cli.explain")
def explain(
    job: JobPath,
    part: Annotated[
        str | None,
        typer.Option(
            "--part",
            metavar="N",
            help="Only part N of the file, as 4 or 9.2.3, and the steps that it rests on.",
        ),
    ] = None,
    units: UnitsOption = None,
) -> None:
    """Show the whole reckoning in steps: formula, numbers put in, result, source, meaning.

    Parts are numbered as in the file: 9.2.3 is part 9, branch 2, its part 3.

    Example:  loop explain examples/kittiwake.toml --part 4
    """
