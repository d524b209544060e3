"""Options of `loop diagnose`."""

from typing import Annotated

import typer

from loop.cli.commands.boat import JobOrNone, ReadingOption, ReadingsWords, ToolsOption, with_boat
from loop.cli.options import ForceOption, JsonOption, UnitsOption, runs, takes


@with_boat
@runs("loop.cli.diagnose")
def diagnose(
    job: JobOrNone = None,
    readings: ReadingsWords = None,
    reading: ReadingOption = None,
    said: Annotated[
        list[str] | None,
        takes("TEXT", 'What the customer said, such as "since haul-out"; repeatable.'),
    ] = None,
    tools: ToolsOption = None,
    prior: Annotated[
        list[str] | None,
        takes("FAULT=WEIGHT", 'Weight of a fault, such as "pump-worn=0.3"; may be repeated.'),
    ] = None,
    priors: Annotated[
        str | None, takes("FILE", "Weights of faults: what loop faults wrote.")
    ] = None,
    record: Annotated[str | None, takes("FILE", "Write the job with this visit in it.")] = None,
    was: Annotated[
        str | None, takes("FAULT", "With --record: the fault it turned out to be.")
    ] = None,
    date: Annotated[str | None, takes("DATE", "Date of the visit; today if left out.")] = None,
    trend: Annotated[
        bool, typer.Option("--drift", help="Show the drift over the job's visits instead.")
    ] = False,
    units: UnitsOption = None,
    as_json: JsonOption = False,
    force: ForceOption = False,
) -> None:
    """Find what is failing from readings and tests, and what to do next.

    Without a job file, --unit says what the loop cools. On the terminal, loop call asks step by
    step.

    Example:  loop diagnose examples/kittiwake.toml stream=weak "flow=150 gal/h"
    """
