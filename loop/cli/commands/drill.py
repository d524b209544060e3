"""Options of `loop drill`."""

from typing import Annotated

import typer

from loop.cli.options import ForceOption, UnitsOption, runs, takes


@runs("loop.cli.drill")
def drill(
    job: Annotated[
        str | None,
        typer.Argument(metavar="JOB", help="Job file; a loop of the drill's own if left out."),
    ] = None,
    seed: Annotated[int | None, takes("N", "The same seed hides the same fault.", min=0)] = None,
    level: Annotated[
        int, takes("N", "1 plain faults, 2 all, 3 faint or paired.", min=1, max=3)
    ] = 1,
    fault: Annotated[
        str | None, takes("FAULT", "Hide this fault, such as strainer-blocked.")
    ] = None,
    case: Annotated[str | None, takes("FILE", "A case that a teacher wrote (TOML).")] = None,
    log: Annotated[str | None, takes("FILE", "Keep the drill in this file.")] = None,
    replay: Annotated[str | None, takes("FILE", "Play a kept drill again.")] = None,
    units: UnitsOption = None,
    force: ForceOption = False,
) -> None:
    """Play a service call: rank what it may be, read, act safely, read again, until it runs right.

    Example:  loop drill --seed 7 --level 2
    """
