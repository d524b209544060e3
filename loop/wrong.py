"""Error messages about a file or a text, whose sentences are rows in `loop.words`.

Lower layers find these mistakes where they read, and report them by name; the table,
``loop/words/mistakes.toml``, is read at the first mistake.
"""

import tomllib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pydantic_core import PydanticCustomError


@cache
def rows() -> dict[str, str]:
    """Every sentence by name, with placeholders for `str.format`."""
    path = Path(__file__).parent / "words" / "mistakes.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def wrong(row: str, **values: object) -> str:
    """A sentence with its values filled in.

    >>> wrong("too-large", text="1e99 m")
    "'1e99 m' is too large to be a quantity"
    """
    return rows()[row].format(**values)


def refused(kind: str, row: str, **values: object) -> "PydanticCustomError":
    """The same as an error for a model to raise; `kind` marks it as having its own message."""
    from pydantic_core import PydanticCustomError

    return PydanticCustomError(kind, "{why}", {"why": wrong(row, **values)})
