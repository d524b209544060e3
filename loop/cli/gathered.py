"""Mistakes of several options, reported together."""

from collections.abc import Iterator
from contextlib import contextmanager

from loop.cli.options import option
from loop.job import JobError


class Mistakes:
    """The mistakes found so far."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    @contextmanager
    def of(self, *options: str) -> Iterator[None]:
        """Keeps the mistakes raised inside; a line about one of `options` names it as typed."""
        try:
            yield
        except JobError as error:
            self._lines += [_as_typed(line, options) for line in error.problems]

    def report(self) -> None:
        """Raises JobError with every mistake, each once, if there are any."""
        if self._lines:
            raise JobError(list(dict.fromkeys(self._lines)))


def _as_typed(line: str, options: tuple[str, ...]) -> str:
    place, colon, told = line.partition(": ")
    return f"{option(place)}{colon}{told}" if place in options else line
