"""`loop diagnose`: from readings and actions to ranked faults and the next step."""

import sys
from pathlib import Path
from typing import Any

from rich.text import Text

from loop.cli.boat import Known, study_of
from loop.cli.diagnose_report import print_diagnosis
from loop.cli.gathered import Mistakes
from loop.cli.options import console, free_place, load_job, print_json, write_whole
from loop.cli.output import fitted, listed
from loop.cli.typed_readings import is_reading, readings_of
from loop.diagnose import (
    Readings,
    drift,
    drift_json,
    parse_priors,
    parse_readings,
    recorded,
    to_json,
    visit_of,
)
from loop.diagnose import diagnose as judge
from loop.diagnose.headline import fixed_fault
from loop.job import Job, JobError
from loop.units import System, bare, show
from loop.words.commands import SAY


def diagnose(
    job: str | None,
    readings: list[str] | None,
    reading: list[str] | None,
    said: list[str] | None,
    tools: str | None,
    prior: list[str] | None,
    priors: str | None,
    record: str | None,
    was: str | None,
    date: str | None,
    trend: bool,
    units: System | None,
    as_json: bool,
    force: bool,
    **boat: Any,
) -> None:
    """Find what is failing from readings and tests, and what to do next."""
    known = Known(**boat)
    words = readings or []
    alone = known.unit is not None and all(map(is_reading, words))
    if job is not None and (alone or is_reading(job)):
        words = [job, *words]
        job = None
    if trend:
        _show_drift(job, units, as_json)
        return
    mistakes = Mistakes()
    _check_record(mistakes, job, record, was, date, force)
    weights: dict[str, float] = {}
    with mistakes.of():
        weights = _weights(prior or [], priors)
    study, taken = None, Readings()
    with mistakes.of():
        study = study_of(job, known, units, weights)
    with mistakes.of():
        loaded = study.instruments.job if study else load_job(job, units) if job else None
        if loaded is not None:
            taken = _taken(loaded, words, reading or [], said or [], tools)
    mistakes.report()
    assert study is not None
    if dict(taken.prior) != {} and known.unit is None:
        study = study_of(job, known, units, weights | dict(taken.prior))
    if taken.empty and not as_json and not sys.stdin.isatty():
        raise JobError([SAY("no-readings")])
    if taken.empty and not as_json:
        from loop.cli.call import asked

        taken = asked(study, taken)
    result = judge(study.instruments.job, taken, study)
    if record:
        visit = visit_of(taken, date, was=was or fixed_fault(result))
        write_whole(record, recorded(Path(job or ""), Path(record), visit))
    if as_json:
        print_json(to_json(result))
        return
    print_diagnosis(console(), result)
    if not record:
        return
    own = job is not None and Path(job).resolve() == Path(record).resolve()
    console().print(SAY("recorded-in-job" if own else "written", file=record), soft_wrap=True)
    if not was and visit.was:
        console().print(SAY("recorded-was", file=record, fault=visit.was))


def _check_record(
    mistakes: Mistakes,
    job: str | None,
    record: str | None,
    was: str | None,
    date: str | None,
    force: bool,
) -> None:
    """Adds what prevents a visit from being recorded as asked."""
    with mistakes.of():
        if record is not None:
            free_place(record, force, edited=job)
        elif (date or was) is not None:
            raise JobError([SAY("with-record", option="--date" if date is not None else "--was")])
    with mistakes.of("was"):
        visit_of(Readings(), was=was or "")
    with mistakes.of("date"):
        visit_of(Readings(), date)


def _weights(prior: list[str], file: str | None) -> dict[str, float]:
    """Weights of faults from the file of ``--priors`` and from ``--prior``, which count first."""
    if file is None:
        return parse_priors(prior)
    from loop.diagnose.experience import read_priors

    return read_priors(file) | parse_priors(prior)


def _taken(
    job: Job, words: list[str], assigned: list[str], said: list[str], tools: str | None
) -> Readings:
    """Everything read, said and done, from arguments and options; raises JobError."""
    mistakes, taken = Mistakes(), Readings()
    with mistakes.of():
        taken = readings_of(words, assigned, job)
    for name, value in (("said", said or None), ("tools", tools)):
        with mistakes.of(name):
            if value is not None:
                taken = taken.having(parse_readings({name: value}, job, ""))
    mistakes.report()
    return taken


def _show_drift(path: str | None, units: System | None, as_json: bool) -> None:
    if path is None:
        raise JobError([SAY("drift-without-job")])
    job = load_job(path, units)
    result = drift(job)
    if as_json:
        print_json(drift_json(result, job))
        return
    out = console()
    table = listed(
        SAY("head-visit"),
        map(SAY, ("head-flow", "head-band", "head-losses", "head-ua")),
        map(SAY, ("head-done", "head-note")),
    )
    for column in table.columns[:-1]:
        column.no_wrap = True  # only a note is text
    for visit in result.visits:
        flow = show(visit.flow, "flow", job.units)
        low, high = (bare(one, "flow", job.units) for one in (visit.flow_low, visit.flow_high))
        factors = (f"{visit.loss:.2f}", f"{visit.ua:.2f}")
        band = SAY("band", low=low, high=high)
        table.add_row(visit.date, flow, band, *factors, ", ".join(visit.done), visit.note)
    out.print(Text(SAY("drift-title", job=job.title), "bold"))
    out.print(fitted(table, out.width))
    out.print(result.sentence(job.units))
