"""The closed list of findings: one row a code, from the files in ``findings``.

A check needs few of the rows, so each is parsed when it is first asked for. In a text, ``<name>``
stands for that one of the file's ``[shared]`` texts.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

from loop.words.row import Row
from loop.words.tables import with_shared

_FOLDER = Path(__file__).parent / "findings"
_HEADER = re.compile(r"^\[([\w-]+)\]$", re.MULTILINE)


class _Codes(Mapping[str, Row]):
    """Rows by code; ``rows`` are those parsed so far."""

    def __init__(self, folder: Path) -> None:
        self.rows: dict[str, Row] = {}
        self._texts: dict[str, tuple[str, str]] = {}
        for path in sorted(folder.glob("*.toml")):
            _, *pieces = _HEADER.split(path.read_text(encoding="utf-8"))
            texts = dict(zip(pieces[::2], pieces[1::2], strict=True))
            shared = texts.pop("shared", "")
            self._texts |= {code: (text, shared) for code, text in texts.items()}

    def __getitem__(self, code: str) -> Row:
        if code not in self.rows:
            text, shared = self._texts[code]
            table = with_shared(tomllib.loads(f"[{code}]{text}")[code], tomllib.loads(shared))
            lists = {key: tuple(table.get(key, ())) for key in ("levels", "basis")}
            self.rows[code] = Row(**table | lists)
        return self.rows[code]

    def __iter__(self) -> Iterator[str]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)


CODES: Mapping[str, Row] = _Codes(_FOLDER)
