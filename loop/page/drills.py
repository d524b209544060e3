"""A drill for a class: the call of `loop drill`, replayed from the lines entered so far."""

from functools import lru_cache
from typing import Any

from loop.job import JobError, parse_toml
from loop.page.folder import THIS_FILE, Folder
from loop.records import dataclass
from loop.teach.cases import Case, Level, draw_case, invented_job
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
from loop.teach.quiz import AnswerError
from loop.units import System, system_of
from loop.words.faults import title
from loop.words.page import SAY
from loop.words.teaching.drills import SAFETY
from loop.words.template import capital
from loop.words.to_do import DOING

# Limits for one call: number of lines and their length; a class enters a few dozen.
_MOST_LINES, _LONGEST_LINE = 200, 300


@dataclass(frozen=True)
class Asked:
    """A requested drill: ``text`` is the job's, "" for the drill's own loop."""

    text: str
    folder: str
    seed: int
    level: Level
    units: System


def asked(given: dict[str, Any], folder: Folder) -> tuple[Asked, tuple[str, ...]]:
    """The drill that a request names, and its lines; raises JobError if the request is invalid."""
    name, seed, level = given.get("job", ""), given.get("seed"), given.get("level")
    lines = given.get("lines", [])
    if not isinstance(name, str) or not isinstance(seed, int) or not 0 <= seed < 10**9:
        raise JobError([SAY("ask-drill")])
    if level not in (1, 2, 3):
        raise JobError([SAY("drill-level")])
    if not isinstance(lines, list) or len(lines) > _MOST_LINES:
        raise JobError([SAY("drill-lines", most=_MOST_LINES)])
    if not all(isinstance(line, str) and len(line) <= _LONGEST_LINE for line in lines):
        raise JobError([SAY("drill-line", most=_LONGEST_LINE)])
    text = folder.read(name).text if name else ""
    folder.guard(text)
    units = system_of(given.get("units"))
    return Asked(text, str(folder.root), seed, level, units), tuple(lines)


def drill_tables(which: Asked, lines: tuple[str, ...], over: bool) -> dict[str, Any]:
    """The call after these lines; if `over`, with its outcome and points.

    Raises JobError if the loop allows no drill or a line cannot be read.
    """
    try:
        call = _call(which, lines)
    except AnswerError as error:
        raise JobError([str(error)]) from None
    case = call.case
    return {
        "title": case.job.title,
        "complaint": complaint(case),
        "readings": [
            {
                "key": key,
                "ask": capital(case.ask(key)),
                "minutes": case.minutes(key),
                "how": case.how(key),
            }
            for key in case.keys
        ],
        "actions": [
            {
                "name": action.name,
                "title": DOING[action.name].title,
                "minutes": action.minutes,
                "how": f"{DOING[action.name].hazard} {capital(DOING[action.name].how)}.".strip(),
            }
            for action in call.actions
        ],
        "faults": [{"name": name, "title": title(name)} for name in case.faults],
        "safety": [{"name": name, "step": step} for name, step in SAFETY.items()],
        "entries": _entries(which, lines),
        "minutes": call.minutes,
        "belief": belief_text(call),
        "end": _end(call) if over else None,
    }


def _entries(which: Asked, lines: tuple[str, ...]) -> list[dict[str, Any]]:
    """What was done, what it showed, and the reading of the same kind on the clean boat."""
    found, before = [], _call(which, ())
    for count in range(1, len(lines) + 1):
        after = _call(which, lines[:count])
        if len(after.entries) > len(before.entries):
            entry = after.entries[-1]
            found.append(
                {"what": entry.what, "showed": entry.result, "minutes": entry.minutes,
                 "clean": healthy_value(before, after)}
            )  # fmt: skip
        before = after
    return found


def _end(call: Call) -> dict[str, Any]:
    sure, fix, cautions = debrief(call)
    return {
        "outcome": outcome(call),
        "points": call.score().points,
        "for": list(points(call)),
        "sure": sure,
        "fix": fix,
        "cautions": cautions,
    }


@lru_cache(maxsize=16)
def _case(which: Asked) -> Case:
    job = parse_toml(which.text, THIS_FILE, which.folder) if which.text else invented_job()
    return draw_case(job.shown_in(which.units), which.seed, which.level)


@lru_cache(maxsize=1000)
def _call(which: Asked, lines: tuple[str, ...]) -> Call:
    """A call, line by line; calls are immutable, so each is cached for the next line."""
    return apply_line(_call(which, lines[:-1]), lines[-1]) if lines else Call(_case(which))
