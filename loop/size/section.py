"""One part of a sizing's report in words, that a terminal prints and a page shows."""

from loop.records import dataclass


@dataclass(frozen=True)
class Section:
    """One part in words: a title, lines under it, a table, a note; ``of`` says which it is.

    ``first`` is one that is said before the reasons of the choice.
    """

    of: str
    title: str
    lines: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    note: str = ""
    first: bool = False
