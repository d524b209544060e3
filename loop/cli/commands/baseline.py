"""Options of `loop baseline`."""

from typing import Annotated

from loop.cli.commands.boat import ReadingOption, ReadingsWords
from loop.cli.options import (
    ForceOption,
    JobPath,
    JsonOption,
    OutputOption,
    UnitsOption,
    runs,
    takes,
)


@runs("loop.cli.baseline")
def baseline(
    job: JobPath,
    output: OutputOption,
    readings: ReadingsWords = None,
    reading: ReadingOption = None,
    date: Annotated[str | None, takes("DATE", "Date of the readings; today if left out.")] = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
    force: ForceOption = False,
) -> None:
    """Fit a job to readings taken when the loop is clean, so that later visits judge this boat.

    Writes the job with its factors and the visit; the rest of its text stays as it is.

    Example:  loop baseline examples/kittiwake.toml examples/readings-clean.toml -o job.toml
    """
