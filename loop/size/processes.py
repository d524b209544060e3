"""The work of a sizing shared among processes: questions asked ahead, answered by any that is free.

The search runs in one process, in one order, whatever the number of processes: it asks ahead what
it will need, and when it needs an answer that no other process has begun it works it out itself.
Every answer depends on its question alone, so that the result is the same with one process, with
many, and with some that end early.
"""

import os
import pickle
import subprocess
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from typing import Any, Generic, TypeVar

T = TypeVar("T")
Item = TypeVar("Item")

# What a process runs: modules are found where this one finds them.
_START = (
    "import pickle, sys; sys.path[:] = pickle.load(sys.stdin.buffer); "
    "from loop.size.worker import serve; serve()"
)
# Processes beyond which starting one more costs more than it saves.
_MOST_PROCESSES = 4
# Short questions that a process has at a time: one to work on, one so that it need not wait.
_AT_ONCE = 2
# Time after which an answer is no longer waited for, and worked out here [s].
_PATIENCE = 30.0
# Longest wait at a time [s]: on Windows an interrupt from the keyboard comes between waits.
_LOOK = 0.2


def processes_available() -> int:
    """The processes that this one may use, itself included."""
    allowed = getattr(os, "sched_getaffinity", None)  # not on every system
    cores = len(allowed(0)) if allowed else os.cpu_count() or 1
    can_start = bool(sys.executable) and not getattr(sys, "frozen", False)
    return min(cores, _MOST_PROCESSES) if can_start else 1


class Asked(Generic[T]):
    """A question and, when called, its answer.

    ``long`` marks one that takes as long as many others, ``away`` one that another process has.
    """

    def __init__(
        self, processes: "Processes", work: Callable[[], T], question: bytes, long: bool
    ) -> None:
        self._processes, self.work, self.question, self.long = processes, work, question, long
        self.known: tuple[T] | None = None
        self.away = False

    def __call__(self) -> T:
        return self._processes.answer(self)


class Processes:
    """This process and the others that share its work, ended on leaving the ``with`` block.

    Parameters
    ----------
    count : int
        Processes in all. With 1, each question is answered when its answer is needed.
    """

    def __init__(self, count: int = 1) -> None:
        self._changed = threading.Condition()
        self._short: deque[Asked[Any]] = deque()
        self._long: deque[Asked[Any]] = deque()
        self._shared: Any = None
        self._shared_bytes = b""
        self._ended = False
        self._others = [other for _ in range(count - 1) if (other := _started())]
        for other in self._others:
            threading.Thread(target=self._converse, args=(other,), daemon=True).start()

    def share(self, shared: Any) -> None:
        """State the first argument of all questions, which each process receives once."""
        with self._changed:
            self._shared = shared
            self._shared_bytes = self._written(shared)
            self._changed.notify_all()

    def ask(self, work: Callable[..., T], *given: Any, long: bool = False) -> Asked[T]:
        """Ask for ``work(shared, *given)``; `work` is a function of a module."""
        shared = self._shared
        asked = Asked(self, lambda: work(shared, *given), self._written((work, given)), long)
        if asked.question:
            with self._changed:
                (self._long if long else self._short).append(asked)
                self._changed.notify_all()
        return asked

    def _written(self, told: Any) -> bytes:
        """What is sent to other processes; nothing if there are none, or it cannot be sent.

        Not written by their threads, while this one might change it.
        """
        try:
            return pickle.dumps(told) if self._others else b""
        except Exception:
            return b""

    def in_order(
        self, ask: Callable[[Item], Asked[T]], items: Iterable[Item]
    ) -> Iterator[tuple[Item, Asked[T]]]:
        """Each item with its question, asked so far ahead that no process has nothing to do.

        For a search that may stop early, or not need every answer: few are then in vain.
        """
        ahead: deque[tuple[Item, Asked[T]]] = deque()
        try:
            for item in items:
                ahead.append((item, ask(item)))
                if len(ahead) > _AT_ONCE * len(self._others):
                    yield ahead[0]
                    self._withdraw(ahead.popleft()[1])
            while ahead:
                yield ahead[0]
                self._withdraw(ahead.popleft()[1])
        finally:
            for _, in_vain in ahead:
                self._withdraw(in_vain)

    def _withdraw(self, asked: Asked[Any]) -> None:
        """Leave a question that no process has begun to whoever calls it."""
        with self._changed:
            self._take(asked)

    def answer(self, asked: Asked[T]) -> T:
        """The answer to a question; works on others while another process works on this one."""
        while asked.known is None:
            mine = self._next_here(asked)
            if mine.known is None:
                try:
                    mine.known = (mine.work(),)
                except Exception:  # of another question: raised where its answer is needed
                    if mine is asked:
                        raise
        return asked.known[0]

    def _next_here(self, asked: Asked[Any]) -> Asked[Any]:
        """The question to work on here while an answer is awaited; or that one, once known."""
        with self._changed:
            if asked.away:
                if self._short:
                    return self._short.popleft()
                if self._long and asked.long:
                    return self._long.popleft()
                until = time.monotonic() + _PATIENCE
                while asked.away and time.monotonic() < until:
                    self._changed.wait(_LOOK)
            self._take(asked)
            return asked

    def _take(self, asked: Asked[Any]) -> None:
        waiting = self._long if asked.long else self._short
        if asked in waiting:
            waiting.remove(asked)

    def __enter__(self) -> "Processes":
        return self

    def __exit__(self, *_: object) -> None:
        with self._changed:
            self._ended = True
            self._changed.notify_all()
        for other in self._others:
            other.kill()
            other.wait()

    def _converse(self, other: "subprocess.Popen[bytes]") -> None:
        """Runs in a thread: gives a process its questions and notes the answers, while it lives."""
        away: deque[Asked[Any]] = deque()
        assert other.stdin
        assert other.stdout
        try:
            _send(other, pickle.dumps(sys.path))
            pickle.load(other.stdout)  # it is ready
            with self._changed:
                self._changed.wait_for(lambda: self._shared_bytes or self._ended)
            _send(other, self._shared_bytes)
            while not self._ended:
                for asked in self._next_away(away):
                    _send(other, asked.question)
                self._note(away, pickle.load(other.stdout))
        except Exception:  # whatever happens to it, its questions are answered here
            with self._changed:
                for asked in away:
                    asked.away = False
                self._changed.notify_all()
        for pipe in (other.stdin, other.stdout):
            with suppress(OSError):
                pipe.close()

    def _next_away(self, away: deque[Asked[Any]]) -> list[Asked[Any]]:
        """Further questions for a process that has those in `away`, to which they are added."""
        with self._changed:
            self._changed.wait_for(lambda: away or self._short or self._long or self._ended)
            more: list[Asked[Any]] = []
            if not (away or self._short) and self._long:
                more = [self._long.popleft()]
            elif not (away and away[-1].long):
                free = min(_AT_ONCE - len(away), len(self._short))
                more = [self._short.popleft() for _ in range(free)]
            for asked in more:
                asked.away = True
            away.extend(more)
            return more

    def _note(self, away: deque[Asked[Any]], found: Any) -> None:
        """Note the answer of a process to the first question it has."""
        with self._changed:
            asked = away.popleft()
            asked.known, asked.away = asked.known or found, False
            self._changed.notify_all()


def _send(other: "subprocess.Popen[bytes]", told: bytes) -> None:
    assert other.stdin
    other.stdin.write(told)
    other.stdin.flush()


def _started() -> "subprocess.Popen[bytes] | None":
    """A process that waits for questions; None if none can be started."""
    try:
        return subprocess.Popen(
            [sys.executable, "-P", "-c", _START],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
    except OSError:
        return None
