"""A progress bar on a terminal during a long calculation."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from rich.progress import BarColumn, Progress, ProgressColumn, TextColumn, TimeRemainingColumn

from loop.cli.options import console
from loop.job import JobError


@contextmanager
def watched(path: str, words: str, count: ProgressColumn) -> Iterator[Callable[[int, int], None]]:
    """Yields a function to report progress (done, total); `count` is how the bar shows it.

    Mistakes raised meanwhile are reported for the file at `path`.
    """
    errors = console(error=True)
    columns = (TextColumn(words), BarColumn(), count, TimeRemainingColumn())
    try:
        with Progress(
            *columns, console=errors, transient=True, disable=not errors.is_terminal
        ) as bar:
            task = bar.add_task("")
            yield lambda done, every: bar.update(task, completed=done, total=every)
    except JobError as error:
        raise JobError([f"{Path(path)}: {line}" for line in error.problems]) from None
