"""A process that answers questions of a sizing (`loop.size.processes`) until its input ends."""

import os
import pickle
import queue
import signal
import sys
import threading
from typing import Any


def serve() -> None:
    """Read what all questions share, then questions; write the answers in the same order."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process ends this one
    answers, sys.stdout = sys.stdout.buffer, sys.stderr
    questions: queue.SimpleQueue[Any] = queue.SimpleQueue()
    threading.Thread(target=_read, args=(questions,), daemon=True).start()
    _write(answers, "ready")
    shared = questions.get()
    while True:
        work, given = questions.get()
        _write(answers, (work(shared, *given),))


def _read(questions: "queue.SimpleQueue[Any]") -> None:
    """Runs in a thread, so that neither side waits for the other to read, and ends at once."""
    try:
        while True:
            questions.put(pickle.load(sys.stdin.buffer))
    finally:
        os._exit(0)


def _write(answers: Any, told: Any) -> None:
    pickle.dump(told, answers)
    answers.flush()
