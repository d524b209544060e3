"""Options of `loop sheet`."""

from loop.cli.options import JobPath, OutputOption, UnitsOption, runs


@runs("loop.cli.sheet", draws=True)
def sheet(job: JobPath, output: OutputOption, units: UnitsOption = None) -> None:
    """Write the job sheet: what to buy, what to read, how to start, when to clean.

    Example:  loop sheet examples/kittiwake.toml -o kittiwake.pdf
    """
