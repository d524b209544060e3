"""The closed list of findings: one row a code, from the files in ``findings``.

A check needs few of the rows, so each is parsed when it is first asked for. In a text, ``<name>``
stands for that one of the file's ``[shared]`` texts.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import field
from pathlib import Path

from loop.records import dataclass
from loop.words.finding import Level
from loop.words.tables import with_shared

_FOLDER = Path(__file__).parent / "findings"
_HEADER = re.compile(r"^\[([\w-]+)\]$", re.MULTILINE)


@dataclass(frozen=True)
class Row:
    """All text of one code.

    ``title`` names the finding in a few words; ``levels`` are its possible levels, gravest first.
    ``message`` says what is wrong and why; ``fix`` what to do if no action was found; ``always``
    what to do in addition to any action; ``instead`` an alternative that is no action, given last;
    ``then`` the result of an action (``after`` in it is that action's own entry of the value of
    that name). ``cases`` hold, by the finding's ``case``, the fields that differ. ``basis`` are
    keys of SOURCES.

    ``several`` is one message for all places, with the values of the worst and their ``count``;
    ``several_then`` the result of an action, with the values of the then worst; ``several_fix``
    replaces ``fix`` where the worst alone does not speak for all.

    Templates name the finding's values in the forms of `loop.words.template` and `Speaker.fill`.
    """

    title: str
    levels: tuple[Level, ...]
    message: str
    fix: str = ""
    always: str = ""
    instead: str = ""
    then: str = ""
    several: str = ""
    several_then: str = ""
    several_fix: str = ""
    basis: tuple[str, ...] = ()
    cases: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def text(self, which: str, case: str) -> str:
        """A template for this case; a case may be several, separated by spaces."""
        own: str = getattr(self, which)
        cases = (self.cases.get(one, {}) for one in case.split())
        return next((texts[which] for texts in cases if which in texts), own)


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
