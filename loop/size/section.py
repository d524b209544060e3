"""One section of a sizing's report in words, for the terminal and the page."""

from loop.records import dataclass


@dataclass(frozen=True)
class Section:
    """One section in words: a title, lines, a table, a note; ``of`` identifies it.

    ``first`` marks sections that come before the reasons for the choice.
    """

    of: str
    title: str
    lines: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    note: str = ""
    first: bool = False
