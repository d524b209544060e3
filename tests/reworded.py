"""The tests, with every sentence of the room of words turned into other text.

Only tests of that text may fail: whatever else does reads a sentence to decide something.
``python -m tests.reworded tests/test_sheet.py …`` takes what pytest takes.
"""

import codecs
import dataclasses
import re
import sys
from collections.abc import Callable
from typing import Any

import pytest

from loop.words import (
    action_words,
    codes,
    diagnosis,
    faults,
    job_sheet,
    measuring,
    service_card,
    sheet_basis,
    sizing,
    sources,
    to_do,
)
from loop.words.speaker import Speaker

_KEPT = re.compile(r"(\{[^}]*\})")


def other(text: str) -> str:
    """Other text with the same blanks and brackets: each letter the thirteenth from it."""
    pieces = _KEPT.split(text)
    return "".join(p if _KEPT.fullmatch(p) else codecs.encode(p, "rot13") for p in pieces)


def reworded(value: Any, kept: tuple[str, ...] = ()) -> Any:
    """A row with other text in its fields, but for those of these names."""
    if isinstance(value, str):
        return other(value)
    if isinstance(value, tuple):
        return tuple(reworded(one) for one in value)
    if isinstance(value, dict):
        return {name: reworded(one) for name, one in value.items()}
    texts = {
        field.name: reworded(getattr(value, field.name))
        for field in dataclasses.fields(value)
        if field.name not in kept
    }
    return dataclasses.replace(value, **texts)


def reword() -> None:
    """Rewords the room in place."""
    tables: list[tuple[dict[str, Any], tuple[str, ...]]] = [
        (say.rows, ()) for say in (diagnosis.SAY, job_sheet.SAY, service_card.SAY, sizing.SAY)
    ]
    tables += [(diagnosis.BOTH, ()), (diagnosis.ON_THE_CARD, ())]
    tables += [(sheet_basis.WHAT.rows, ()), (sheet_basis.ON.rows, ())]
    tables += [(sources.SOURCES, ()), (measuring.MEASURING, ()), (measuring.OTHERWISE, ())]
    tables += [(faults.WORDS, ("quantity", "hazard")), (to_do.DOING, ())]
    tables += [(codes.CODES, ("levels", "basis"))]
    for table, kept in tables:
        for name in list(table):
            table[name] = reworded(table[name], kept)
    for kind, words in list(action_words.WORDS.items()):
        action_words.WORDS[kind] = _said_otherwise(words)


def _said_otherwise(words: Callable[[Any, Speaker], str]) -> Callable[[Any, Speaker], str]:
    return lambda action, speaker: other(words(action, speaker))


if __name__ == "__main__":
    reword()
    sys.exit(pytest.main(["-q", *sys.argv[1:]]))
