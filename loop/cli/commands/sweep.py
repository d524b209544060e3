"""Options of `loop sweep`."""

from typing import Annotated

from loop.cli.options import ForceOption, JobPath, JsonOption, UnitsOption, runs, takes


@runs("loop.cli.sweep")
def sweep(
    job: JobPath,
    vary: Annotated[
        list[str],
        takes(
            "WHAT=VALUES",
            'An address and the values to try there, such as "part[8].length=8 ft, 12 ft"; '
            "may be repeated. For two addresses that change together: "
            '"part[10].to=part[11].height=2 in, 5 in".',
        ),
    ],
    csv: Annotated[str | None, takes("FILE", "Write one row per point.")] = None,
    units: UnitsOption = None,
    as_json: JsonOption = False,
    force: ForceOption = False,
) -> None:
    """Solve every combination of values at some addresses of a job.

    Parts are counted from 1, as check prints them: part[9].branch[2].part[1].bore; a part's label
    works as well, and pump is the pump's curve. A unit that would condense over 140 °F trips first:
    it has no condensing temperature then, and its cell in the CSV file is empty.

    Example:  loop sweep examples/kittiwake.toml --vary "part[8].length=8 ft, 12 ft"
    """
