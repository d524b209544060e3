"""`loop drill`: find a hidden fault, against the clock."""

import secrets
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from loop.cli.options import console, write_whole
from loop.job import JobError, parse_job, read_toml
from loop.teach import (
    AnswerError,
    Drill,
    DrillLog,
    Look,
    Outcome,
    Source,
    fault_title,
    invented_job,
    log_text,
    read_log,
    reading_name,
)
from loop.units import System

_HELP = (
    "Type a reading's number or name to take it; fault and a number or name to name the fault; "
    "list, faults, how and a number, or quit."
)
_STOP = {"q", "quit", "exit"}


def drill(
    job: str | None,
    seed: int | None,
    level: int,
    log: str | None,
    replay: str | None,
    units: System | None,
) -> None:
    """Hide a fault, answer for its readings, and score how fast and how rightly it is found."""
    out = console()
    if replay is not None:
        if job is not None or log is not None:
            raise JobError(["--replay: a kept drill has its own job; give it alone"])
        _replay(out, read_log(replay))
        return
    source = Source(None, ".") if job is None else Source(read_toml(job), str(Path(job).parent))
    loop = (
        invented_job()
        if source.tables is None
        else parse_job(source.tables, job or "", source.folder)
    )
    if units is not None:
        loop = loop.model_copy(update={"units": units})
    hidden = Drill(loop, secrets.randbelow(10**6) if seed is None else seed, _level(level))
    outcome = _play(out, hidden, _typed)
    if log is not None:
        write_whole(log, log_text(outcome, source))
        out.print(Text(f"Kept in {log}; loop drill --replay {log} plays it again."))


def _level(level: int) -> Literal[1, 2, 3]:
    return 1 if level <= 1 else 2 if level == 2 else 3


def _typed() -> Iterator[str]:
    """Lines from standard input, asked for one at a time."""
    while True:
        print("> ", end="", flush=True)
        line = sys.stdin.readline()
        if not sys.stdin.isatty():
            print(line.strip())
        if not line:
            return
        yield line.strip()


def _replay(out: Console, kept: DrillLog) -> None:
    hidden = Drill(kept.played_job(), kept.seed, kept.level)
    words = [*map(reading_name, kept.taken), *([f"fault {kept.answer}"] if kept.answer else [])]

    def again() -> Iterator[str]:
        for word in words:
            out.print(Text(f"> {word}"))
            yield word

    outcome = _play(out, hidden, again)
    if (outcome.points, outcome.minutes) != (kept.points, kept.minutes):
        out.print(
            Text(
                f"When it was kept it scored {kept.points} points in {kept.minutes:g} minutes: the"
                " reckoning has changed since."
            )
        )


def _play(out: Console, hidden: Drill, lines: Callable[[], Iterator[str]]) -> Outcome:
    """Readings and answer, from the lines typed; then the outcome."""
    case = hidden.case
    out.print(Text(f"{case.job.title}: drill {case.seed}, level {case.level}", "bold"))
    out.print(Text.assemble("The customer says: ", (f"“{hidden.complaint}”", "italic")))
    _list_readings(out, hidden)
    out.print(Text(_HELP))
    taken: list[str] = []
    answer = ""
    for line in lines():
        if line.lower() in _STOP:
            break
        try:
            answer = _obey(out, hidden, taken, line)
        except AnswerError as error:
            out.print(Text(f"{error}\n{_HELP}"))
        if answer:
            break
    outcome = hidden.finish(taken, answer)
    _print_outcome(out, outcome)
    return outcome


def _obey(out: Console, hidden: Drill, taken: list[str], line: str) -> str:
    """Does what a line asks for; gives the fault that it names, "" for none."""
    word, _, rest = line.partition(" ")
    match word.lower():
        case "":
            return ""
        case "list":
            _list_readings(out, hidden)
        case "faults":
            for number, name in enumerate(hidden.case.faults, start=1):
                out.print(Text(f"{number:>3}  {name}: {fault_title(name)}"))
        case "how":
            out.print(Text(hidden.case.how(hidden.case.key_of(rest))))
        case "help":
            out.print(Text(_HELP))
        case "fault":
            return hidden.case.fault_of(rest)
        case _:
            key = hidden.case.key_of(line)
            if key not in taken:
                taken.append(key)
            healthy = hidden.healthy(key, taken) if hidden.case.level < 3 else ""
            well = f" (healthy: {healthy})" if healthy else ""
            out.print(
                Text.assemble(
                    f"  {reading_name(key)}: ",
                    (hidden.case.value(key), "bold"),
                    f"{well}   {hidden.minutes(taken):g} min so far",
                )
            )
    return ""


def _list_readings(out: Console, hidden: Drill) -> None:
    for number, key in enumerate(hidden.case.keys, start=1):
        out.print(Text(f"{number:>3}  {reading_name(key)} ({hidden.case.minutes(key):g} min)"))


def _print_outcome(out: Console, outcome: Outcome) -> None:
    case = outcome.case
    out.print()
    out.print(Text.assemble((outcome.verdict, "bold"), f" {outcome.points} points of 100."))
    out.print(Text(f"It was: {fault_title(case.fault)} ({case.where})."))
    if outcome.same_as:
        names = ", ".join(fault_title(name) for name in outcome.same_as)
        out.print(Text(f"No reading on this boat tells it apart from: {names}."))
    out.print(Text(f"To be sure: {outcome.sure}."))
    out.print(Text(f"To mend it: {outcome.fix}."))
    if outcome.looks:
        _print_way(out, f"Your way, {outcome.minutes:g} minutes", outcome.looks)
    _print_way(
        out,
        f"An expert's way, {outcome.expert_minutes:g} minutes: always the reading that is expected"
        " to tell most a minute (1 bit halves the doubt)",
        outcome.expert,
    )
    wrong = outcome.expert_answer not in (case.fault, *outcome.same_as)
    missed = ", and is misled: one boat's readings may point the wrong way" if wrong else ""
    out.print(Text(f"The expert says: {fault_title(outcome.expert_answer)}{missed}."))
    for caution in outcome.cautions:
        out.print(Text(f"• {caution}", "dim"))


def _print_way(out: Console, title: str, looks: tuple[Look, ...]) -> None:
    out.print()
    out.print(Text(title, "bold"))
    for look in looks:
        out.print(
            Text.assemble((f"{look.called}: {look.value}", "bold"), f"   {look.minutes:g} min")
        )
        left = ", ".join(f"{name} {share:.0%}" for name, share in look.leading)
        for text in (f"How: {look.how}.", f"Expected to tell {look.gain:.2f} bit; left {left}."):
            out.print(Padding(Text(text, "dim"), (0, 0, 0, 5)))
