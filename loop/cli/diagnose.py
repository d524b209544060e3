"""`loop diagnose`: readings in, ranked faults and the next reading out."""

import json
import sys
from pathlib import Path

import typer
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from loop.cli.options import console, load_job, print_json, write_whole
from loop.cli.streams import complain
from loop.diagnose import (
    Diagnosis,
    Drift,
    Readings,
    Study,
    drift,
    drift_json,
    named,
    parse_assignments,
    parse_priors,
    parse_readings,
    prepare,
    read_readings,
    recorded,
    shown,
    to_json,
    visit_of,
)
from loop.diagnose import diagnose as judge
from loop.job import Job, JobError
from loop.units import System, show

_NARROW = 76
_CAUSES = 4
_NEXT = 3
_COLUMNS = 4
_COLUMN_WIDTH = 20


def diagnose(
    job: str,
    readings: str | None,
    reading: list[str] | None,
    prior: list[str] | None,
    record: str | None,
    date: str | None,
    trend: bool,
    units: System | None,
    as_json: bool,
) -> None:
    """Find what is failing from readings, and what to measure next."""
    loaded = load_job(job, units)
    if date is not None and record is None:
        raise JobError(["--date: is that of a visit to keep; give --record FILE with it"])
    if trend:
        _show_drift(drift(loaded), loaded, as_json)
        return
    taken = read_readings(readings, loaded) if readings else Readings()
    taken = taken.having(parse_assignments(reading or [], loaded))
    taken = taken.having(Readings(prior=parse_priors(prior or [])))
    study = prepare(loaded, taken.prior)
    if not taken.keys and not as_json:
        if not sys.stdin.isatty():
            raise JobError(
                ['no readings: give a readings file, or --reading "flow=150 gal/h" (repeated)']
            )
        taken = _ask(loaded, study, taken)
    result = judge(loaded, taken, study)
    if record:
        visit = visit_of(taken, date)
        write_whole(record, recorded(Path(job), Path(record), visit))
    if as_json:
        print(json.dumps(to_json(result), indent=2, allow_nan=False))
    else:
        _print(console(), result)


def _ask(job: Job, study: Study, taken: Readings) -> Readings:
    """Asks for the most telling reading until there is none left or the person has had enough."""
    out = console()
    out.print("Type each reading with its unit; Enter skips it, [bold]done[/] ends.", markup=True)
    out.print('A flow may be a bucket and a time: "1 gal in 24 s".')
    passed: set[str] = set()
    while True:
        result = judge(job, taken, study)
        left = [one for one in result.next if one.reading not in passed]
        if not left:
            return taken
        best = left[0]
        out.print()
        if taken.keys:
            lead = result.causes[0]
            out.print(f"So far: {lead.title}, {show(lead.probability, 'ratio', job.units)}.")
        head = f"[bold]{named(best.reading)}[/] ({best.minutes:g} min)"
        out.print(f"{head}: {best.how}.", markup=True)
        healthy = shown(best.reading, result.healthy[best.reading], job.units)
        asked = f"{named(best.reading)} (healthy: {healthy})"
        answer = typer.prompt(asked, default="", show_default=False).strip()
        if answer.lower() in ("done", "quit", "q"):
            return taken
        passed.add(best.reading)
        if answer:
            try:
                taken = taken.having(parse_readings({best.reading: answer}, job, "reading"))
            except JobError as error:
                passed.discard(best.reading)
                for line in error.problems:
                    complain(line)


def _print(out: Console, result: Diagnosis) -> None:
    units = result.job.units
    lead, group = result.causes[0], result.groups[0]
    head = f"{lead.title.upper()}  {show(lead.probability, 'ratio', units)}"
    if not result.readings.keys:
        head = "NOTHING READ YET"
    elif result.misfit:
        head = "NO FAULT FITS THESE READINGS"
    out.print(Text.assemble((head, "bold"), f"  {result.job.title}"))
    if result.misfit:
        out.print(Text(result.misfit, "bold yellow"))
    out.print(group.sentence)
    out.print()
    for block in (
        _causes(result),
        _against(result, out.width),
        _next(result),
        _notes(result),
    ):
        out.print(block)


def _causes(result: Diagnosis) -> RenderableType:
    units = result.job.units
    blocks: list[RenderableType] = [Text("What it may be", "bold")]
    for cause in result.causes[:_CAUSES]:
        mended, low, high = (
            show(flow, "flow", units)
            for flow in (cause.flow_mended, cause.flow_mended_low, cause.flow_mended_high)
        )
        odds = show(cause.probability, "ratio", units)
        body = Group(
            Text(f"How bad: {cause.severity_words}"),
            Text(f"Why: {cause.why}"),
            Text.assemble(("Do: ", "bold"), cause.fix),
            Text(f"To be sure: {cause.look}"),
            Text(f"Flow once mended: {mended} ({low.split()[0]} to {high.split()[0]})"),
        )
        blocks += [
            Text.assemble((f"{odds:>4}  ", "bold"), f"{cause.title} ({cause.where})"),
            Padding(body, (0, 0, 1, 6)),
        ]
    return Group(*blocks)


def _against(result: Diagnosis, width: int) -> RenderableType:
    """Read, healthy, and what each leading fault would show, a row a reading."""
    units, readings = result.job.units, result.readings
    more = max(width - _NARROW, 0) // _COLUMN_WIDTH + 2
    leading = result.causes[: 1 if width < _NARROW else min(more, _COLUMNS)]
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    table.add_column("Reading")
    for name in ("read", "healthy", *(cause.fault for cause in leading)):
        table.add_column(name, justify="right")
    for key in readings.keys:
        if key in result.healthy:
            read = readings.numbers[key].value if key in readings.numbers else readings.words[key]
            values = [read, result.healthy[key], *(cause.predicted[key] for cause in leading)]
            table.add_row(named(key), *(shown(key, value, units) for value in values))
    return Padding(table, (0, 0, 1, 0)) if table.row_count else Text("")


def _next(result: Diagnosis) -> RenderableType:
    if not result.next:
        return Text("Nothing is left to read.\n")
    title = Text.assemble(("Read next", "bold"), " (best for its minutes; 1 bit halves the doubt)")
    blocks: list[RenderableType] = [title]
    for one in result.next[:_NEXT]:
        values = ", ".join(
            f"{shown(one.reading, value, result.job.units)} if {fault}"
            for fault, value in one.expected.items()
        )
        blocks += [
            Text.assemble(
                (named(one.reading), "bold"), f"  {one.minutes:g} min, tells {one.gain:.2f} bits"
            ),
            Padding(Group(Text(f"How: {one.how}"), Text(f"Expect: {values}")), (0, 0, 1, 2)),
        ]
    return Group(*blocks)


def _notes(result: Diagnosis) -> RenderableType:
    notes = [Text(text, "dim") for text in result.notes]
    return Group(*notes, Text("Cautions", "bold"), *(Text(f"• {c}") for c in result.cautions))


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
