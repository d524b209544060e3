"""The card as one self-contained page: its script, its packed tables, no network requests."""

import base64
import hashlib
import json
import zlib
from pathlib import Path
from typing import Any

import numpy as np
from markupsafe import Markup

from loop.card.content import Card
from loop.sheet.html import pages

_FOLDER = Path(__file__).parent / "templates"
_STATIC = Path(__file__).parent / "static"
# In dependency order: each file uses only those before it.
ENGINE = (
    "unpacked.js",
    "study.js",
    "belief.js",
    "standing.js",
    "next_step.js",
    "groups.js",
    "left_there.js",
    "quantity.js",
    "call.js",
    "shown.js",
    "contradiction.js",
    "once_fixed.js",
    "reasons.js",
    "put_right.js",
    "ends.js",
    "next_steps.js",
    "answer.js",
)
PAGE = (
    "readings_file.js",
    "store.js",
    "elements.js",
    "stopwatch.js",
    "fields.js",
    "asking.js",
    "step_cards.js",
    "answering.js",
    "boat.js",
    "customer_page.js",
    "office.js",
    "page.js",
)
Bytes = np.ndarray[tuple[int, ...], np.dtype[np.uint8]]


def render(card: Card) -> str:
    """The HTML of a card, everything escaped, script and style allowed by their hashes."""
    code, looks = script(), style()
    policy = (
        f"default-src 'none'; script-src {_source(code)}; style-src {_source(looks)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    return (
        pages(_FOLDER)
        .get_template("card.html.j2")
        .render(
            card=card,
            policy=policy,
            data=packed(card.shown),
            style=Markup(looks),
            script=Markup(code),
        )
    )


def index(entries: list[tuple[str, str, str]]) -> str:
    """A page of links to the cards of a fleet; each entry is a file name, a title and a remark."""
    looks = style()
    policy = f"default-src 'none'; style-src {_source(looks)}; base-uri 'none'; form-action 'none'"
    return (
        pages(_FOLDER)
        .get_template("index.html.j2")
        .render(entries=entries, policy=policy, style=Markup(looks))
    )


def _source(text: str) -> str:
    """The content security policy source of an inline script or style."""
    digest = hashlib.sha256(text.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def script(files: tuple[str, ...] = ENGINE + PAGE) -> str:
    """The files as one script, wrapped in a function."""
    text = "\n".join((_STATIC / name).read_text(encoding="utf-8") for name in files)
    return f'(() => {{\n"use strict";\n{text}\n}})();\n'


def style() -> str:
    """The card's style sheet."""
    return (_STATIC / "card.css").read_text(encoding="utf-8")


def packed(tables: dict[str, Any]) -> str:
    """Tables of plain values and arrays, as in `loop.diagnose.tables`; base64 of zlib.

    What is compressed: the length of the JSON in four bytes, little-endian; the JSON, in which
    shape and offset stand for each array; and the arrays. An array is stored by byte planes (all
    first bytes, then all second bytes and so on) and column by column, because the severities of a
    fault are adjacent there and read alike. An array with the name and shape of an earlier one is
    stored as its XOR with that: at another speed few faults read differently.
    """
    arrays = _Arrays()
    text = json.dumps(arrays.taken_from(tables, ""), separators=(",", ":")).encode("ascii")
    whole = len(text).to_bytes(4, "little") + text + b"".join(arrays.parts)
    return base64.b64encode(zlib.compress(whole, 9)).decode("ascii")


class _Arrays:
    """Bytes of the arrays collected so far."""

    def __init__(self) -> None:
        self.parts: list[bytes] = []
        self.length = 0
        self.last: dict[tuple[Any, ...], Bytes] = {}

    def taken_from(self, value: Any, name: str) -> Any:
        """The value, with shape and offset in place of each array."""
        if isinstance(value, list):
            return [self.taken_from(one, name) for one in value]
        if not isinstance(value, dict):
            return value
        if "float32" not in value:
            return {key: self.taken_from(one, key) for key, one in value.items()}
        numbers = np.frombuffer(base64.b64decode(value["float32"]), dtype="u1")
        begins, shape = self.length, value["shape"]
        self.length += numbers.size
        before = self.last.get((name, *shape))
        self.last[name, *shape] = numbers
        apart = numbers if before is None else numbers ^ before
        self.parts.append(apart.reshape(shape[0], -1, 4).transpose(2, 1, 0).tobytes())
        return {"begins": begins, "shape": shape}
