"""`loop baseline`: fit a job to readings of this boat when clean, and keep them."""

from pathlib import Path

from rich.text import Text

from loop.cli.options import console, load_job, print_json, write_whole
from loop.cli.output import listed
from loop.cli.typed_readings import readings_of
from loop.diagnose import (
    Baseline,
    baseline_json,
    display_name,
    reading_text,
    recorded,
)
from loop.diagnose import baseline as fit
from loop.units import System, bare, show
from loop.words.commands import SAY


def baseline(
    job: str,
    output: str,
    readings: list[str] | None,
    reading: list[str] | None,
    date: str | None,
    units: System | None,
    as_json: bool,
) -> None:
    """Fit a job to readings taken when the loop is clean, so that later visits judge this boat."""
    loaded = load_job(job, units)
    taken = readings_of(readings or [], reading or [], loaded)
    result = fit(loaded, taken, date)
    target = Path(output)
    write_whole(target, recorded(Path(job), target, result.job.visit[-1], result.job.fitted))
    if as_json:
        print_json(baseline_json(result))
    else:
        _print(result, output)


def _print(result: Baseline, output: str) -> None:
    out, units, fitted = console(), result.job.units, result.job.fitted
    out.print(Text(SAY("baseline-title", job=result.job.title, date=fitted.date), "bold"))
    out.print(SAY("baseline-factors", loss=fitted.loss, pump=fitted.pump, ua=fitted.ua))
    low, high = (bare(flow, "flow", units) for flow in (result.flow_low, result.flow_high))
    out.print(SAY("baseline-flow", flow=show(result.flow, "flow", units), low=low, high=high))
    table = listed(SAY("head-reading"), map(SAY, ("head-read", "head-design", "head-fitted")))
    for key, design in result.designed.items():
        values = (result.readings.numbers[key].value, design, result.fitted[key])
        table.add_row(display_name(key), *(reading_text(key, value, units) for value in values))
    out.print(table)
    for note in result.notes:
        out.print(Text(note, "yellow"))
    out.print(SAY("written", file=output))
