"""`loop baseline`: fit a job to readings of this boat when clean, and keep them."""

from pathlib import Path

from rich.text import Text

from loop.cli.gathered import Mistakes
from loop.cli.options import console, free_place, load_job, print_json, write_whole
from loop.cli.output import fitted, listed
from loop.cli.typed_readings import readings_of
from loop.diagnose import (
    Baseline,
    Readings,
    baseline_json,
    display_name,
    reading_text,
    recorded,
    visit_of,
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
    force: bool,
) -> None:
    """Fit a job to readings taken when the loop is clean, so that later visits judge this boat."""
    mistakes = Mistakes()
    with mistakes.of():
        free_place(output, force, edited=job)
    with mistakes.of("date"):
        visit_of(Readings(), date)
    with mistakes.of():
        loaded = load_job(job, units)
        taken = readings_of(readings or [], reading or [], loaded)
    mistakes.report()
    target, result = Path(output), fit(loaded, taken, date)
    write_whole(target, recorded(Path(job), target, result.job.visit[-1], result.job.fitted))
    if as_json:
        print_json(baseline_json(result))
    else:
        _print(result, output)


def _print(result: Baseline, output: str) -> None:
    out, units, found = console(), result.job.units, result.job.fitted
    out.print(Text(SAY("baseline-title", job=result.job.title, date=found.date), "bold"))
    out.print(SAY("baseline-factors", loss=found.loss, pump=found.pump, ua=found.ua))
    low, high = (bare(flow, "flow", units) for flow in (result.flow_low, result.flow_high))
    out.print(SAY("baseline-flow", flow=show(result.flow, "flow", units), low=low, high=high))
    table = listed(SAY("head-reading"), map(SAY, ("head-read", "head-design", "head-fitted")))
    for column in table.columns[1:]:
        column.no_wrap = True
    for key, design in result.designed.items():
        values = (result.readings.numbers[key].value, design, result.fitted[key])
        table.add_row(display_name(key), *(reading_text(key, value, units) for value in values))
    out.print(fitted(table, out.width))
    for note in result.notes:
        out.print(Text(note, "yellow"))
    out.print(SAY("written", file=output))
