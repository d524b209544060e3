"""The boat of a call: a job file, or what is known where there is none."""

from typing import Annotated

import typer

from loop.cli.options import load_job
from loop.diagnose.hypotheses import Study, prepare
from loop.job import JobError
from loop.units import System, UnitError, parse

UnitOption = Annotated[
    str | None,
    typer.Option("--unit", help='No job file: the unit\'s cooling, as "12000 BTU/h".'),
]
BoreOption = Annotated[
    str | None, typer.Option("--bore", help="With --unit: bore of the hose, where known.")
]
LengthOption = Annotated[
    str | None, typer.Option("--length", help="With --unit: length of all hose, where known.")
]
PumpOption = Annotated[
    str | None, typer.Option("--pump", help="With --unit: the pump, a name of the catalogue.")
]
PumpHeightOption = Annotated[
    str | None, typer.Option("--pump-height", help='With --unit: the pump\'s height, as "-10 in".')
]
BleedOption = Annotated[
    bool, typer.Option("--bleed", help="With --unit: there is a bleed at the pump's outlet.")
]
SeaOption = Annotated[
    str | None, typer.Option("--sea", help="With --unit: the warmest sea the boat meets.")
]
DcOption = Annotated[bool, typer.Option("--dc", help="With --unit: the pump runs on 12 V.")]


def study_of(
    job: str | None,
    known: dict[str, str | None],
    flags: dict[str, bool],
    units: System | None,
    prior: dict[str, float],
) -> Study:
    """The study of a job file, or of loops of a kind where ``known["unit"]`` is given.

    Raises JobError where there is neither, or both, or a value that is not right.
    """
    unit = known["unit"]
    if unit is None:
        given = [name for name, value in known.items() if value] + [
            n for n, v in flags.items() if v
        ]
        if given:
            raise JobError([f"--{given[0].replace('_', '-')}: goes with --unit, not with a job"])
        if job is None:
            raise JobError(['no job file: give one, or the unit\'s cooling: --unit "12000 BTU/h"'])
        return prepare(load_job(job, units), prior)
    from loop.diagnose.unknown_loop import Kind, prepare_unit

    kinds = {
        "unit": "power", "bore": "length", "length": "length", "pump_height": "length",
        "sea": "temperature",
    }  # fmt: skip
    values: dict[str, float | None] = {}
    problems = []
    for name, kind in kinds.items():
        text = known[name]
        try:
            values[name] = None if text is None else parse(text, kind)  # type: ignore[arg-type]
        except UnitError as error:
            problems.append(f"--{name.replace('_', '-')}: {error}")
    cooling = values.get("unit")
    if cooling is not None and not 250.0 < cooling < 60_000.0:
        problems.append(f'--unit: {unit!r} is no air-conditioning unit; as "12000 BTU/h"')
    if problems or cooling is None:
        raise JobError(problems)
    kind_of = Kind(
        cooling,
        bore=values["bore"],
        length=values["length"],
        pump=known["pump"],
        pump_height=values["pump_height"],
        sea=values["sea"],
        bleed=flags["bleed"],
        drive="dc" if flags["dc"] else "ac",
        units=units or "us",
    )
    return prepare_unit(kind_of, prior)
