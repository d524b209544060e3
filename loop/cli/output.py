"""Tables and text in the form the commands print."""

import io
import re
import sys
from collections.abc import Iterable
from typing import IO, TextIO, cast

from rich.cells import cell_len
from rich.console import Console, Group, RenderableType
from rich.table import Table
from rich.text import Text

from loop.units import System, bare

# Width of a terminal that reports none, and the least at which tables keep all their columns.
_WIDTH, _LEAST_WIDTH = 80, 32
# Spaces between table columns.
_BETWEEN = 2
# Spaces before a line's end, possibly mixed with terminal codes.
_PADDING = re.compile(r"(?:\x20|\x1b\[[\d;]*m)+(?=\n)")


class Unpadded(io.TextIOBase):
    """A stream that drops the trailing spaces with which a table pads its lines."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """Encoding of the wrapped stream; the methods below pass through to it too."""
        return self._stream.encoding

    def isatty(self) -> bool:
        """Whether it is a terminal."""
        return self._stream.isatty()

    def fileno(self) -> int:
        """Its file descriptor."""
        return self._stream.fileno()

    def flush(self) -> None:
        """Flushes the wrapped stream, unless it was closed before this one is let go."""
        if not self._stream.closed:
            self._stream.flush()

    def write(self, text: str) -> int:
        """Writes a text without spaces at line ends; returns the length of the text."""
        self._stream.write(_PADDING.sub(lambda blanks: blanks[0].replace(" ", ""), text))
        return len(text)


class _Console(Console):
    def on_broken_pipe(self) -> None:
        """Leaves it to `printing`, which ends the program without an error."""
        raise BrokenPipeError


def plain_console(error: bool) -> Console:
    """The console for `loop.cli.options.console`: standard output, or standard error."""
    stream = cast(IO[str], Unpadded(sys.stderr if error else sys.stdout))
    found = _Console(file=stream, highlight=False, markup=False, emoji=False, soft_wrap=False)
    # COLUMNS may be 0. A line wider than the terminal wraps and loses nothing.
    found.width = max(found.width, _LEAST_WIDTH) if found.width else _WIDTH
    return found


def span(low: float, high: float, quantity: str, system: System) -> str:
    """A band's limits, without unit.

    >>> span(0.0001051, 0.0002103, "flow", "us")
    '100 to 200'
    """
    return f"{bare(low, quantity, system)} to {bare(high, quantity, system)}"


def headed(first: str, *others: str) -> Table:
    """An empty table without rules: `first` holds text, the other columns hold numbers."""
    table = Table(box=None, padding=(0, _BETWEEN, 0, 0), header_style="bold", pad_edge=False)
    table.add_column(first, vertical="top", overflow="fold")
    for name in others:
        table.add_column(name, justify="right", no_wrap=True)
    return table


def listed(first: str, numbers: Iterable[str] = (), texts: Iterable[str] = ()) -> Table:
    """An empty table without rules, its heads wrapping: one text, then numbers, then more texts."""
    table = Table(box=None, padding=(0, _BETWEEN, 0, 0), header_style="bold", pad_edge=False)
    table.add_column(first)
    for name in numbers:
        table.add_column(name, justify="right")
    for name in texts:
        table.add_column(name)
    return table


def fitted(table: Table, width: int) -> Table:
    """The table; if it would break words, one line per row, with each number's head beside it."""
    cells = [[str(cell) for cell in (column.header, *column.cells)] for column in table.columns]
    needed = 0
    for column, texts in zip(table.columns, cells, strict=True):
        pieces = (piece for text in texts for piece in text.split("\n" if column.no_wrap else None))
        needed += max(map(cell_len, pieces), default=0) + _BETWEEN
    if needed - _BETWEEN <= width:
        return table
    heads, rows = [texts[0] for texts in cells], zip(*(texts[1:] for texts in cells), strict=True)
    return bullets(tuple(_as_line(heads, row) for row in rows))


def _as_line(heads: list[str], row: tuple[str, ...]) -> str:
    first, *others = row
    said = []
    for head, text in zip(heads[1:], others, strict=True):
        name, _, unit = head.replace("-\n", "-").partition("\n")
        if text:
            # Words, and a bore in another unit, have no unit of the column.
            unit = unit if text[-1].isdigit() else ""
            said.append(" ".join(filter(None, (name, text, unit))))
    return f"{first}: {'; '.join(said)}"


def bullets(lines: tuple[str, ...]) -> Table:
    """Lines of text, each behind a bullet, with a hanging indent if too long for one line."""
    grid = Table.grid(padding=(0, 1))
    for line in lines:
        grid.add_row("•", Text(line))
    return grid


def sentence(text: str) -> str:
    """Text with an initial capital and a period.

    >>> sentence("no bleed at the pump")
    'No bleed at the pump.'
    """
    return f"{text[:1].upper()}{text[1:]}."


def print_first_last(out: Console, head: RenderableType, rest: Iterable[RenderableType]) -> None:
    """Prints an answer; on a terminal too short for it, the first lines again as the last."""
    whole = Group(head, *rest)
    out.print(whole)
    if out.is_terminal and len(out.render_lines(whole)) > out.height:
        out.print(Group(Text(), head))


def spaced(block: Table | Text) -> Group:
    """A block with an empty line after it."""
    return Group(block, Text())
