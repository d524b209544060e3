"""`loop call`: a service call on the terminal: what was seen, what was done, what is next."""

from collections.abc import Callable, Sequence
from itertools import count
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.text import Text

from loop.cli.boat import Known, as_options, study_of
from loop.cli.boat import asked as asked_of_boat
from loop.cli.diagnose_report import next_steps, print_diagnosis
from loop.cli.options import console, place_for
from loop.cli.streams import complain
from loop.cli.typed import ENDS, SKIPS, ask
from loop.diagnose import (
    Diagnosis,
    NextReading,
    Readings,
    display_name,
    parse_readings,
    reading_text,
)
from loop.diagnose import diagnose as judge
from loop.diagnose.hypotheses import Study
from loop.diagnose.parse import read_readings
from loop.diagnose.session import Session, save
from loop.job import Job, JobError
from loop.tomlfile import has_comments, read_text
from loop.units import System
from loop.words.commands import SAY
from loop.words.template import capital

_LISTED = 8
Saver = Callable[[Readings], None]


def call(
    job: str | None,
    file: str | None,
    tools: str | None,
    units: System | None,
    **boat: Any,
) -> None:
    """Work a service call step by step; saved after every answer, with undo and resume."""
    known = Known(**boat)
    file = file or (f"{Path(job).stem}-call.toml" if job else _next_free())
    place_for(file)
    if job is None and known == Known():
        known = asked_of_boat()
        console().print(Text(SAY("call-asked", options=as_options(known)), "dim"))
    study = study_of(job, known, units, {})
    begun = Readings()
    if Path(file).exists():
        begun = _resumed(file, study.instruments.job)
        console().print(Text(SAY("call-resumed", file=file), "dim"))
    if tools is not None:
        begun = begun.having(parse_readings({"tools": tools}, study.instruments.job, ""))
    final = asked(study, begun, lambda readings: save(readings, file))
    print_diagnosis(console(), judge(study.instruments.job, final, study))
    console().print(Text(SAY("call-kept", file=file), "dim"))


def _next_free() -> str:
    """A new file: without a job, an earlier call may be of another boat."""
    file, kept = "call.toml", ""
    for number in count(2):
        if not Path(file).exists():
            break
        file, kept = f"call-{number}.toml", file
    if kept:
        console().print(Text(SAY("call-earlier", file=kept), "dim"))
    return file


def _resumed(file: str, job: Job) -> Readings:
    """A call from its file; raises JobError for one whose comments the next answer would lose."""
    begun = read_readings(file, job)
    if has_comments(read_text(file, "readings")):
        raise JobError([SAY("call-comments", file=file)])
    return begun


def asked(study: Study, begun: Readings, saver: Saver | None = None) -> Readings:
    """Asks for the best next step, or for anything once none is left, until the person ends it."""
    out, job = console(), study.instruments.job
    out.print(Text(SAY("call-help"), "dim"))
    session = Session.resumed(job, begun)
    while True:
        result = judge(job, session.readings, study, session.skipped)
        step = result.next[0] if result.next else None
        answer = _prompt(out, result, step)
        if answer.lower() in ENDS or (step is None and not answer):
            return session.readings
        try:
            session = _after(out, session, result, step, answer)
        except JobError as error:
            for line in error.problems:
                complain(line)
            continue
        if saver and answer:
            saver(session.readings)


def _prompt(out: Console, result: Diagnosis, step: NextReading | None) -> str:
    """Shows the state of the call and asks for one step, or whether the call is over."""
    out.print()
    if not result.readings.empty:
        out.print(Text(result.headline, "bold"))
    if step is None:
        return ask(SAY("call-done"))
    if step.hazard:
        out.print(Text(step.hazard, "bold yellow"))
    way = capital(step.how.removeprefix(step.hazard).strip())
    out.print(Text.assemble((step.title, "bold"), SAY("call-step", minutes=step.minutes, way=way)))
    if step.kind == "action":
        asked_for = SAY(
            "call-action", step=step.title, first=step.answers[0], second=step.answers[1]
        )
    elif step.answers:
        choices = (f"{number} {one}" for number, one in enumerate(step.answers, 1))
        asked_for = SAY("call-word", reading=display_name(step.reading), answers=", ".join(choices))
    else:
        healthy = reading_text(step.reading, result.healthy[step.reading], result.job.units)
        asked_for = SAY("call-number", reading=display_name(step.reading), healthy=healthy)
    return ask(asked_for)


def _after(
    out: Console, session: Session, result: Diagnosis, step: NextReading | None, answer: str
) -> Session:
    """The session after one typed line; raises JobError if the line is invalid."""
    word = answer.partition(" ")[0].lower()
    if step is not None and answer.lower() in SKIPS:
        return session.skip(step.reading)
    if word in ("help", "?"):
        out.print(Text(SAY("call-help"), "dim"))
        return session
    if word == "why":
        print_diagnosis(out, result)
        return session
    if word == "list":
        out.print(next_steps(result, _LISTED))
        return session
    if step is None or word in ("undo", "did", "said", "tools", "under") or "=" in answer:
        return session.entered(answer)
    if step.kind == "action":
        return session.do(step.reading, _chosen((*step.answers, ""), answer))
    return session.read(step.reading, _chosen(step.answers, answer))


def _chosen(answers: Sequence[str], answer: str) -> str:
    """The answer with this number, counted from 1, if there is one; else the text as typed."""
    return {str(number): one for number, one in enumerate(answers, 1)}.get(answer, answer)
