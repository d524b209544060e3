"""`loop drill`: a service call on a boat with a hidden fault."""

import secrets
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Literal

from rich.console import Console
from rich.text import Text

from loop.cli.options import console, free_place, write_whole
from loop.cli.output import bullets
from loop.cli.typed import ENDS, typed
from loop.diagnose import display_name
from loop.job import JobError, parse_job, read_toml
from loop.teach.cases import Case, draw_case, invented_job
from loop.teach.drill import Call
from loop.teach.drill_lines import (
    apply_line,
    belief_text,
    complaint,
    debrief,
    healthy_value,
    outcome,
    points,
)
from loop.teach.drill_log import Source, log_text, read_case, read_log
from loop.teach.quiz import AnswerError
from loop.units import System
from loop.words.course import SAY
from loop.words.faults import title
from loop.words.teaching.drills import SAFETY
from loop.words.teaching.drills import SAY as DRILL
from loop.words.template import capital
from loop.words.to_do import DOING


def drill(
    job: str | None,
    seed: int | None,
    level: int,
    fault: str | None,
    case: str | None,
    log: str | None,
    replay: str | None,
    units: System | None,
    force: bool,
) -> None:
    """Hide a fault, answer for readings and actions, and score the call."""
    out = console()
    files = [one for one in (replay, case) if one is not None]
    if files and (job is not None or fault is not None or len(files) > 1):
        raise JobError([SAY("drill-alone")])
    if log is not None:
        free_place(log, force)
    if replay is not None:
        kept = read_log(replay)
        call, _ = _play(out, kept.case(replay), _again(out, kept.lines))
        if (call.score().points, call.minutes) != (kept.points, kept.minutes):
            out.print(Text(DRILL("changed", points=kept.points, minutes=kept.minutes)))
        return
    source = Source(None, ".") if job is None else Source(read_toml(job), str(Path(job).parent))
    if case is not None:
        hidden = read_case(case)
    else:
        loop = (
            invented_job()
            if source.tables is None
            else parse_job(source.tables, job or "", source.folder)
        )
        drawn = secrets.randbelow(10**6) if seed is None else seed
        hidden = draw_case(loop.shown_in(units), drawn, _level(level), fault or "")
    call, lines = _play(out, hidden, _typed())
    if log is not None:
        text = log_text(hidden, lines, source, call.score().points, call.minutes)
        write_whole(log, text)
        out.print(Text(SAY("drill-kept", file=str(log))))


def _level(level: int) -> Literal[1, 2, 3]:
    return 1 if level <= 1 else 2 if level == 2 else 3


def _typed() -> Iterator[str]:
    """Lines from standard input, one at a time."""
    while (line := typed(">")) is not None:
        yield line


def _again(out: Console, lines: Iterable[str]) -> Iterator[str]:
    for line in lines:
        out.print(Text(f"> {line}"))
        yield line


def _play(out: Console, case: Case, lines: Iterator[str]) -> tuple[Call, list[str]]:
    """The call played from typed lines, and the lines that counted."""
    call, kept = Call(case), list[str]()
    out.print(
        Text(SAY("drill-title", job=case.job.title, seed=str(case.seed), level=case.level), "bold")
    )
    out.print(Text.assemble(f"{SAY('drill-customer')} ", (f"“{complaint(case)}”", "italic")))
    _list_readings(out, case)
    out.print(Text(DRILL("help")))
    for line in lines:
        if line.lower() in ENDS:
            kept.append(line)
            break
        try:
            after = _obey(out, call, line)
        except AnswerError as error:
            out.print(Text(f"{error}\n{DRILL('help-where')}"))
            continue
        if after is not call:
            call = after
            kept.append(line)
    _print_end(out, call)
    return call, kept


def _obey(out: Console, call: Call, line: str) -> Call:
    """The call after one line; unchanged if the line only looks something up."""
    word, _, rest = line.partition(" ")
    match word.lower():
        case "":
            return call
        case "list" | "faults" | "actions" | "safety" | "help":
            _look_up(out, call, word.lower())
            return call
        case "how":
            out.print(Text(_how(call, rest)))
            return call
        case "rank":
            after = apply_line(call, line)
            out.print(Text(f"  {SAY('drill-believed', belief=belief_text(after))}"))
            return after
    after = apply_line(call, line)
    entry, well = after.entries[-1], healthy_value(call, after)
    beside = f" {SAY('drill-clean', value=well)}" if well else ""
    so_far = f"{beside}   {SAY('drill-so-far', minutes=after.minutes)}"
    out.print(Text.assemble(f"  {entry.what}: ", (entry.result, "bold"), so_far))
    return after


def _look_up(out: Console, call: Call, what: str) -> None:
    match what:
        case "list":
            _list_readings(out, call.case)
        case "faults":
            for number, name in enumerate(call.case.faults, start=1):
                out.print(Text(f"{number:>3}  {name}: {title(name)}"))
        case "actions":
            for number, action in enumerate(call.actions, start=1):
                doing = DOING[action.name].title
                out.print(Text(f"{number:>3}  {action.name}: {doing} ({action.minutes:g} min)"))
        case "safety":
            for number, (name, step) in enumerate(SAFETY.items(), start=1):
                out.print(Text(f"{number:>3}  {name}: {step}"))
        case _:
            out.print(Text(DRILL("help")))


def _how(call: Call, text: str) -> str:
    """How to take a reading or do an action, with its hazard first."""
    name = call.match_reading_or_action(text)
    if name in call.case.keys:
        return f"{capital(call.case.how(name))}."
    doing = DOING[name]
    return f"{doing.hazard} {capital(doing.how)}.".strip()


def _list_readings(out: Console, case: Case) -> None:
    for number, key in enumerate(case.keys, start=1):
        out.print(Text(f"{number:>3}  {display_name(key)} ({case.minutes(key):g} min)"))


def _print_end(out: Console, call: Call) -> None:
    said = f" {SAY('drill-score', points=call.score().points, minutes=call.minutes)}"
    out.print()
    out.print(Text.assemble((outcome(call), "bold"), said))
    for line in points(call):
        out.print(Text(f"  {line}"))
    sure, fix, cautions = debrief(call)
    out.print(Text(SAY("drill-sure", look=sure)))
    out.print(Text(SAY("drill-fix", fix=fix)))
    out.print(bullets(cautions))
