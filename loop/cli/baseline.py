"""`loop baseline`: fit a job to readings of this boat when clean, and keep them."""

import json
from pathlib import Path

from rich.table import Table
from rich.text import Text

from loop.cli.options import console, load_job, write_whole
from loop.diagnose import (
    Baseline,
    Readings,
    baseline_json,
    named,
    parse_assignments,
    read_readings,
    recorded,
    shown,
)
from loop.diagnose import baseline as fit
from loop.units import System, show
from loop.words.commands import SAY


def baseline(
    job: str,
    output: str,
    readings: str | None,
    reading: list[str] | None,
    date: str | None,
    units: System | None,
    as_json: bool,
) -> None:
    """Fit a job to readings taken when the loop is clean, so that later visits judge this boat."""
    loaded = load_job(job, units)
    taken = read_readings(readings, loaded) if readings else Readings()
    taken = taken.having(parse_assignments(reading or [], loaded))
    result = fit(loaded, taken, date)
    target = Path(output)
    write_whole(target, recorded(Path(job), target, result.job.visit[-1], result.job.fitted))
    if as_json:
        print(json.dumps(baseline_json(result), indent=2, allow_nan=False))
    else:
        _print(result, output)


def _print(result: Baseline, output: str) -> None:
    out, units, fitted = console(), result.job.units, result.job.fitted
    out.print(Text(SAY("baseline-title", job=result.job.title, date=fitted.date), "bold"))
    out.print(SAY("baseline-factors", loss=fitted.loss, pump=fitted.pump, ua=fitted.ua))
    flow, low, high = (
        show(value, "flow", units) for value in (result.flow, result.flow_low, result.flow_high)
    )
    out.print(SAY("baseline-flow", flow=flow, low=low.split()[0], high=high.split()[0]))
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    table.add_column(SAY("head-reading"))
    for name in ("head-read", "head-design", "head-fitted"):
        table.add_column(SAY(name), justify="right")
    for key, design in result.designed.items():
        values = (result.readings.numbers[key].value, design, result.fitted[key])
        table.add_row(named(key), *(shown(key, value, units) for value in values))
    out.print(table)
    for note in result.notes:
        out.print(Text(note, "yellow"))
    out.print(SAY("written", file=output))
