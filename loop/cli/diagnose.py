"""`loop diagnose`: readings in, ranked faults and the next reading out."""

import json
import sys
from pathlib import Path
from typing import Annotated

import typer
from rich.table import Table
from rich.text import Text

from loop.cli.boat import (
    BleedOption,
    BoreOption,
    DcOption,
    LengthOption,
    PumpHeightOption,
    PumpOption,
    SeaOption,
    UnitOption,
    study_of,
)
from loop.cli.call import asked
from loop.cli.diagnose_report import print_diagnosis
from loop.cli.options import (
    JsonOption,
    UnitsOption,
    console,
    load_job,
    print_json,
    user_errors,
    write_whole,
)
from loop.diagnose import (
    Drift,
    Readings,
    drift,
    drift_json,
    parse_assignments,
    parse_priors,
    parse_readings,
    read_readings,
    recorded,
    to_json,
    visit_of,
)
from loop.diagnose import diagnose as judge
from loop.diagnose.experience import read_priors
from loop.job import Job, JobError
from loop.units import show


@user_errors
def diagnose(
    job: Annotated[
        str | None, typer.Argument(metavar="[JOB]", help="Job file (TOML).", show_default=False)
    ] = None,
    readings: Annotated[
        str | None, typer.Argument(metavar="[READINGS]", help="Readings file (TOML).")
    ] = None,
    reading: Annotated[
        list[str] | None,
        typer.Option("--reading", "-r", help='One reading, as "flow=150 gal/h"; may be repeated.'),
    ] = None,
    said: Annotated[
        list[str] | None,
        typer.Option("--said", help='What the customer said, as "since haul-out"; repeatable.'),
    ] = None,
    tools: Annotated[
        str | None, typer.Option("--tools", help='Tools at hand, as "bucket, thermometer".')
    ] = None,
    unit: UnitOption = None,
    bore: BoreOption = None,
    length: LengthOption = None,
    pump: PumpOption = None,
    pump_height: PumpHeightOption = None,
    sea: SeaOption = None,
    bleed: BleedOption = False,
    dc: DcOption = False,
    prior: Annotated[
        list[str] | None,
        typer.Option("--prior", help='Weight of a fault, as "pump-worn=0.3"; may be repeated.'),
    ] = None,
    priors: Annotated[
        str | None,
        typer.Option("--priors", metavar="FILE", help="Weights of faults: what loop faults wrote."),
    ] = None,
    record: Annotated[
        str | None,
        typer.Option("--record", metavar="FILE", help="Write the job with this visit in it."),
    ] = None,
    was: Annotated[
        str | None, typer.Option("--was", help="With --record: what it was in the end.")
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
    """Find what is failing from readings and tries, and what to do next.

    Without a job file, --unit says what the loop cools. On the terminal, loop call asks step by
    step.

    Example:  loop diagnose examples/kittiwake.toml examples/readings-strainer.toml
    """
    if unit is not None and job is not None and readings is None:
        job, readings = None, job
    if unit is not None and job is not None:
        raise JobError(["--unit: stands in for a job file; give one of them"])
    if (date or was) is not None and record is None:
        name = "--date" if date is not None else "--was"
        raise JobError([f"{name}: is that of a visit to keep; give --record FILE with it"])
    if trend:
        loaded = load_job(job or "", units)
        _show_drift(drift(loaded), loaded, as_json)
        return
    known = {
        "unit": unit, "bore": bore, "length": length, "pump": pump, "pump_height": pump_height,
        "sea": sea,
    }  # fmt: skip
    weights = (read_priors(priors) if priors else {}) | parse_priors(prior or [])
    study = study_of(job, known, {"bleed": bleed, "dc": dc}, units, weights)
    taken = _taken(study.bench.job, readings, reading or [], said or [], tools)
    if dict(taken.prior) != {} and unit is None:
        study = study_of(job, known, {}, units, weights | dict(taken.prior))
    if taken.empty and not as_json and not sys.stdin.isatty():
        raise JobError(
            ['no readings: give a readings file, or --reading "flow=150 gal/h" (repeated)']
        )
    if taken.empty and not as_json:
        taken = asked(study, taken)
    result = judge(study.bench.job, taken, study)
    if record:
        visit = visit_of(taken, date, was=was or "")
        write_whole(record, recorded(Path(job or ""), Path(record), visit))
    if as_json:
        print(json.dumps(to_json(result), indent=2, allow_nan=False))
    else:
        print_diagnosis(console(), result)


def _taken(
    job: Job, path: str | None, assigned: list[str], said: list[str], tools: str | None
) -> Readings:
    """All that was read, said and done, from the file and the options."""
    taken = read_readings(path, job) if path else Readings()
    taken = taken.having(parse_assignments(assigned, job))
    more: dict[str, object] = {"said": said} if said else {}
    if tools is not None:
        more["tools"] = tools
    return taken.having(parse_readings(more, job, "--said, --tools"))


def _show_drift(result: Drift, job: Job, as_json: bool) -> None:
    if as_json:
        print_json(drift_json(result, job))
        return
    out = console()
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    table.add_column("Visit")
    for name in ("flow", "may be", "losses ×", "UA ×"):
        table.add_column(name, justify="right")
    table.add_column("note")
    for visit in result.visits:
        flow, low, high = (
            show(value, "flow", job.units)
            for value in (visit.flow, visit.flow_low, visit.flow_high)
        )
        factors = (f"{visit.loss:.2f}", f"{visit.ua:.2f}")
        band = f"{low.split()[0]} to {high.split()[0]}"
        table.add_row(visit.date, flow, band, *factors, visit.note)
    out.print(Text(f"{job.title}: flow by visit", "bold"))
    out.print(table)
    out.print(result.sentence(job.units))
