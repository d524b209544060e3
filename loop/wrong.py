"""What is wrong with a file or a text: the sentences are rows of the room of words.

The rooms below it find these mistakes where they read, and say them by name; the room's table,
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
    """Every sentence by its name, with blanks as `str.format` fills them."""
    path = Path(__file__).parent / "words" / "mistakes.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def wrong(row: str, **values: object) -> str:
    """A sentence with its values.

    >>> wrong("too-large", text="1e99 m")
    "'1e99 m' is too large to be a quantity"
    """
    return rows()[row].format(**values)


def refused(kind: str, row: str, **values: object) -> "PydanticCustomError":
    """The same as what a model raises; `kind` is how its own words are known."""
    from pydantic_core import PydanticCustomError

    return PydanticCustomError(kind, "{why}", {"why": wrong(row, **values)})
