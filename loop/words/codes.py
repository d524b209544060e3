"""The closed list of findings: one row a code, from the files in ``findings``.

A check needs few of the rows, so each is parsed when it is first asked for. In a text, ``<name>``
stands for that text of the file's ``[phrases]``.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from loop.words.row import Row

_FOLDER = Path(__file__).parent / "findings"
_HEADER = re.compile(r"^\[([\w-]+)\]$", re.MULTILINE)
_PHRASE = re.compile(r"<([\w-]+)>")


class _Codes(Mapping[str, Row]):
    """Rows by code; ``rows`` are those parsed so far."""

    def __init__(self, folder: Path) -> None:
        self.rows: dict[str, Row] = {}
        self._texts: dict[str, tuple[str, str]] = {}
        for path in sorted(folder.glob("*.toml")):
            _, *pieces = _HEADER.split(path.read_text(encoding="utf-8"))
            texts = dict(zip(pieces[::2], pieces[1::2], strict=True))
            phrases = texts.pop("phrases", "")
            self._texts |= {code: (text, phrases) for code, text in texts.items()}

    def __getitem__(self, code: str) -> Row:
        if code not in self.rows:
            text, phrases = self._texts[code]
            table = tomllib.loads(f"[{code}]{text}")[code]
            self.rows[code] = Row(**_whole(table, tomllib.loads(phrases)))
        return self.rows[code]

    def __iter__(self) -> Iterator[str]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)


def _whole(value: Any, phrases: Mapping[str, str]) -> Any:
    """Values of a table with the phrases in place, and tuples for lists."""
    if isinstance(value, str):
        return _PHRASE.sub(lambda found: _whole(phrases[found[1]], phrases), value)
    if isinstance(value, list):
        return tuple(value)
    return {name: _whole(one, phrases) for name, one in value.items()}


CODES: Mapping[str, Row] = _Codes(_FOLDER)
