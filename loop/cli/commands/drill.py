"""Options of `loop drill`."""

from typing import Annotated

import typer

from loop.cli.options import ForceOption, UnitsOption, runs


@runs("loop.cli.drill")
def drill(
    job: Annotated[
        str | None,
        typer.Argument(metavar="JOB", help="Job file; a loop of the drill's own if left out."),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", metavar="N", min=0, help="The same seed hides the same fault."),
    ] = None,
    level: Annotated[
        int,
        typer.Option(
            "--level", metavar="N", min=1, max=3, help="1 plain faults, 2 all, 3 faint or paired."
        ),
    ] = 1,
    fault: Annotated[
        str | None,
        typer.Option("--fault", metavar="FAULT", help="Hide this fault, such as strainer-blocked."),
    ] = None,
    case: Annotated[
        str | None,
        typer.Option("--case", metavar="FILE", help="A case that a teacher wrote (TOML)."),
    ] = None,
    log: Annotated[
        str | None, typer.Option("--log", metavar="FILE", help="Keep the drill in this file.")
    ] = None,
    replay: Annotated[
        str | None, typer.Option("--replay", metavar="FILE", help="Play a kept drill again.")
    ] = None,
    units: UnitsOption = None,
    force: ForceOption = False,
) -> None:
    """Play a service call: rank what it may be, read, act safely, read again, until it runs right.

    Example:  loop drill --seed 7 --level 2
    """
