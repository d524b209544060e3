"""Work in a separate process, which can be watched and stopped, and ends on its own."""

import contextlib
import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from loop.records import dataclass

# Memory limit for this work [bytes]; a sizing takes a tenth of it.
_MEMORY = 3_000_000_000


@dataclass(frozen=True, eq=False)
class Apart:
    """A process, and the pipe over which it reports."""

    process: BaseProcess
    pipe: Connection

    def end(self) -> None:
        """Ends the process, finished or not."""
        if self.process.is_alive():
            self.process.terminate()
            self.process.join(1.0)
        if self.process.is_alive():
            self.process.kill()
        self.process.join(1.0)
        self.pipe.close()


def begin(work: Callable[..., None], *given: Any) -> Apart:
    """Starts `work(pipe, *given)`; everything must be picklable, since the process is spawned."""
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe()
    process = context.Process(target=_bounded, args=(work, there, *given), daemon=True)
    process.start()
    there.close()
    return Apart(process, here)


def _bounded(work: Callable[..., None], pipe: Connection, *given: Any) -> None:
    with contextlib.suppress(ImportError):
        import resource  # not on every system

        resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    # A reader that has left needs no answer.
    with contextlib.suppress(BrokenPipeError):
        work(pipe, *given)
