"""Processes that answer the page, so that a loop that takes too long delays no other answer."""

import queue
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from loop.job import JobError
from loop.page.apart import Apart, begin
from loop.page.folder import ConflictError
from loop.words.page import SAY

# Number of processes, number of requests that may wait, and time limit for an answer [s], the
# wait included.
_MANY, _WAITING, _SECONDS = 2, 10, 30.0
# Interval for checking whether the client has disconnected [s].
_LOOK = 0.2

Table = dict[str, Any]


class Workers:
    """Answers by name, each in a process that ends when its client disconnects or time is up."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._free: queue.LifoQueue[Apart | None] = queue.LifoQueue()
        for _ in range(_MANY):
            self._free.put(None)
        self._asking = threading.Semaphore(_MANY + _WAITING)
        self._closed = False

    def warm(self) -> None:
        """Starts a process before the first request."""
        self._free.get()
        self._free.put(begin(_answer_all, str(self.root)))

    def ask(self, name: str, asked: Table, gone: Callable[[], bool] = lambda: False) -> Table:
        """The answer of that name; `gone` says whether nobody waits for it any more.

        Raises JobError listing every mistake, or if it takes too long; ConflictError if a file has
        changed since it was read.
        """
        if not self._asking.acquire(blocking=False):
            raise JobError([SAY("busy")])
        try:
            return self._answer(name, asked, gone)
        finally:
            self._asking.release()

    def _answer(self, name: str, asked: Table, gone: Callable[[], bool]) -> Table:
        end = time.monotonic() + _SECONDS
        worker = self._taken(end, gone)
        try:
            worker.pipe.send((name, asked))
            while not worker.pipe.poll(_LOOK):
                if gone() or time.monotonic() > end:
                    raise TimeoutError
            kind, told = worker.pipe.recv()
        except (TimeoutError, EOFError, OSError) as error:
            worker.end()
            self._free.put(None)
            raise JobError(
                [SAY("too-long" if isinstance(error, TimeoutError) else "failed")]
            ) from None
        self._free.put(worker)
        if self._closed:
            self.stop()
        if kind == "problems":
            raise JobError(told)
        if kind == "conflict":
            raise ConflictError(told)
        return dict(told)

    def stop(self) -> None:
        """Ends the idle processes; busy ones end once they have answered."""
        self._closed = True
        for _ in range(self._free.qsize()):
            worker = self._free.get()
            if worker is not None:
                worker.end()
            self._free.put(None)

    def _taken(self, end: float, gone: Callable[[], bool]) -> Apart:
        while not gone():
            try:
                free = self._free.get(timeout=_LOOK)
            except queue.Empty:
                if time.monotonic() > end:
                    raise JobError([SAY("busy")]) from None
                continue
            if free is None or not free.process.is_alive():
                return begin(_answer_all, str(self.root))
            return free
        raise JobError([SAY("too-long")])


def _answer_all(pipe: Connection, root: str) -> None:
    """Runs in the process: answers one request after another until the pipe closes."""
    from loop.page.api import Answers
    from loop.page.folder import Folder

    known = Answers(Folder(Path(root)))
    answers = {**known.by_name, **known.bodies}
    while True:
        try:
            name, asked = pipe.recv()
        except EOFError:
            return
        try:
            pipe.send(("answer", answers[name](asked)))
        except ConflictError as error:
            pipe.send(("conflict", str(error)))
        except JobError as error:
            pipe.send(("problems", error.problems))
