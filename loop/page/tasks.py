"""Long-running work in a separate process, which can be watched and canceled, and ends alone."""

import secrets
import threading
import time
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any

from loop.job import JobError, parse_toml
from loop.page.apart import Apart, begin
from loop.page.folder import THIS_FILE
from loop.words.page import SAY

# Time without a look from its client, and longest run, after which a task is stopped [s].
_UNWATCHED, _LONGEST = 20.0, 300.0
_AT_ONCE = 2


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
    from loop.page.sizing import sizing_tables

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
