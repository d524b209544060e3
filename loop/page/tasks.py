"""Sizings for the page, each in a process that can be watched and canceled, and ends alone."""

import math
import secrets
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

from loop.job import Job, JobError, Put, locate, parse_toml
from loop.page.apart import Apart, begin
from loop.page.folder import THIS_FILE
from loop.pumps import PumpCurve
from loop.words.page import SAY
from loop.words.size_report import SAY as REPORT

if TYPE_CHECKING:
    from loop.size import Change


# Time without a look from its client, and longest run, after which a task is stopped [s].
_UNWATCHED, _LONGEST = 20.0, 300.0
_AT_ONCE = 2
# Options shown on screen; `loop size --all` prints all of them.
_SHOWN = 10


@dataclass
class _Task:
    work: Apart
    started: float
    asked: float
    share: float = 0.0
    result: dict[str, Any] | None = field(default=None)


class Tasks:
    """The tasks of one run of the page, under names that only their client knows."""

    def __init__(self) -> None:
        self._tasks: dict[str, _Task] = {}
        self._lock = threading.Lock()

    def start(self, text: str, folder: str) -> str:
        """Starts sizing a job and returns the task's name; raises JobError if too many run."""
        with self._lock:
            self._sweep()
            if sum(task.work.process.is_alive() for task in self._tasks.values()) >= _AT_ONCE:
                raise JobError([SAY("two-sizings")])
            work = begin(_size, text, folder)
            now = time.monotonic()
            name = secrets.token_urlsafe(12)
            self._tasks[name] = _Task(work, now, now)
        self._watch()
        return name

    def look(self, name: str) -> dict[str, Any]:
        """Progress of a task: ``share`` done, and ``result`` once there; raises KeyError."""
        with self._lock:
            task = self._tasks[name]
            task.asked = time.monotonic()
            self._drain(task)
            self._sweep()
            return {"share": task.share, "result": task.result}

    def stop(self, name: str) -> None:
        """Ends a task; does nothing if there is none of that name."""
        with self._lock:
            task = self._tasks.pop(name, None)
            if task is not None:
                task.work.end()

    def stop_all(self) -> None:
        """Ends every task."""
        for name in list(self._tasks):
            self.stop(name)

    @staticmethod
    def _drain(task: _Task) -> None:
        try:
            while task.work.pipe.poll():
                kind, value = task.work.pipe.recv()
                if kind == "share":
                    task.share = value
                else:
                    task.result = value
        except EOFError:
            if task.result is None:
                task.result = {"problems": [SAY("sizing-stopped")]}

    def _watch(self) -> None:
        """While there are tasks, checks periodically for any that nobody watches."""
        with self._lock:
            self._sweep()
            if self._tasks:
                later = threading.Timer(_UNWATCHED / 2, self._watch)
                later.daemon = True
                later.start()

    def _sweep(self) -> None:
        now = time.monotonic()
        for name, task in list(self._tasks.items()):
            if now - task.asked > _UNWATCHED or now - task.started > _LONGEST:
                task.work.end()
                del self._tasks[name]


def _size(pipe: Connection, text: str, folder: str) -> None:
    """Runs in the process: sizes a job, reports progress, sends what `sizing_tables` returns."""
    last = [0.0]

    def progress(done: int, total: int) -> None:
        share = done / max(total, 1)
        if share - last[0] >= 0.01:
            last[0] = share
            pipe.send(("share", share))

    try:
        result = sizing_tables(parse_toml(text, THIS_FILE, folder), progress)
    except JobError as error:
        result = {"problems": error.problems}
    pipe.send(("result", result))


def sizing_tables(job: Job, progress: Callable[[int, int], None]) -> dict[str, Any]:
    """Choice, runner-up and reasons, sections of the report, and the best options; flows in SI.

    Each option, and the smallest change, has the edits that fit it; none if its pump has no name to
    write. Raises JobError if the job's ``[sizing]`` leaves nothing to choose.
    """
    from loop.size import size
    from loop.size.fit_choice import with_choice
    from loop.size.sections import sections
    from loop.size.words import option_name
    from loop.words.chance import chance

    result = size(job, progress=progress, every=False)
    units, runner_up = job.units, result.runner_up
    return {
        "passes": result.choice is not None,
        "why": list(result.why),
        "sections": [
            asdict(one) | {"edits": _least(job, result.least_change) if one.of == "least" else []}
            for one in sections(result)
        ],
        "service": f"{REPORT('service-title')}: {', '.join(result.service)}.",
        "runner_up": ""
        if runner_up is None
        else f"{option_name(result.options[runner_up], units)}. {result.prefer_runner_up}",
        "options": [
            {
                "name": option_name(option, units),
                "as_is": option.as_is,
                "passes": option.passes,
                "flow": option.flow,
                "chance": chance(option.chance) if math.isfinite(option.chance) else "",
                "power": option.power if math.isfinite(option.power) else None,
                "reasons": list(option.said),
                "edits": _edits(job, with_choice(result.cared, option.choice)),
            }
            for option in result.options[:_SHOWN]
        ],
    }


def _least(job: Job, changes: Sequence["Change"]) -> list[dict[str, Any]]:
    """The edits of the smallest set of changes that fixes the loop; none if no set does."""
    if not changes or not changes[-1].passes:
        return []
    after = job
    for change in changes:
        after = change.action.apply(after)
    return _edits(job, after)


def _edits(before: Job, after: Job) -> list[dict[str, Any]]:
    """The edits between two jobs in the page's format.

    None if the kinds of parts differ, or if a pump has no name to write.
    """
    from loop.size.fit_choice import edits_between

    kinds = [[item.part.kind for item in locate(job.part)] for job in (before, after)]
    if kinds[0] != kinds[1]:
        return []
    puts = [edit for edit in edits_between(before, after) if isinstance(edit, Put)]
    if any(isinstance(put.value, PumpCurve) for put in puts):
        return []
    return [{"do": "put", "address": put.address, "value": put.value} for put in puts]
