"""Options of `loop faults`."""

from typing import Annotated, Literal

import typer

from loop.cli.options import ForceOption, JsonOption, runs, takes


@runs("loop.cli.faults")
def faults(
    folder: Annotated[
        str | None, typer.Argument(metavar="FOLDER", help="Folder of job files with visits.")
    ] = None,
    season: Annotated[
        Literal["winter", "spring", "summer", "autumn"] | None,
        typer.Option("--season", help="Visits of one season only."),
    ] = None,
    kind: Annotated[
        Literal["one unit", "several units"] | None,
        typer.Option("--kind", help="Boats of one kind only."),
    ] = None,
    output: Annotated[
        str | None, takes("FILE", "Write weights for --priors.", "--output", "-o")
    ] = None,
    as_json: JsonOption = False,
    force: ForceOption = False,
) -> None:
    """Count the faults found, over all visits; without a folder, list the faults.

    A visit names its fault: was = "strainer-blocked" in its [[visit]] table, or loop diagnose
    --record FILE --was "strainer-blocked".

    Example:  loop faults examples
    """
