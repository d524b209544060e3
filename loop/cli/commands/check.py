"""Options of `loop check`."""

from typing import Annotated

import typer

from loop.cli.options import JobPath, JsonOption, UnitsOption, runs


@runs("loop.cli.check")
def check(
    job: JobPath,
    units: UnitsOption = None,
    as_json: JsonOption = False,
    strict: Annotated[
        bool, typer.Option("--strict", help="End with status 1 on any warning or worse.")
    ] = False,
) -> None:
    """Check a loop: what will flow, is it enough, where the head goes, what is wrong.

    Example:  loop check examples/kittiwake.toml --units si
    """
