"""Options of `loop diagnose`."""

from typing import Annotated

import typer

from loop.cli.options import JobPath, JsonOption, UnitsOption, runs


@runs("loop.cli.diagnose")
def diagnose(
    job: JobPath,
    readings: Annotated[
        str | None, typer.Argument(metavar="[READINGS]", help="Readings file (TOML).")
    ] = None,
    reading: Annotated[
        list[str] | None,
        typer.Option("--reading", "-r", help='One reading, as "flow=150 gal/h"; may be repeated.'),
    ] = None,
    prior: Annotated[
        list[str] | None,
        typer.Option("--prior", help='Weight of a fault, as "pump-worn=0.3"; may be repeated.'),
    ] = None,
    record: Annotated[
        str | None,
        typer.Option("--record", metavar="FILE", help="Write the job with this visit in it."),
    ] = None,
    date: Annotated[
        str | None, typer.Option("--date", help="Date of the visit; today where left out.")
    ] = None,
    trend: Annotated[
        bool, typer.Option("--drift", help="Show the drift over the job's visits instead.")
    ] = False,
    units: UnitsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find what is failing from readings, and what to measure next.

    Without readings, on a terminal, it asks for them one at a time, the most telling first.

    Example:  loop diagnose examples/kittiwake.toml examples/readings-strainer.toml
    """
