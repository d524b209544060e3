"""Text from other people, made safe to show: one line without control characters."""

import unicodedata
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field

# Bidirectional controls, which can hide what a text says.
_TURNS = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
# Replaces a character that is not shown.
MARK = "·"


def obeyed(sign: str) -> bool:
    """Whether a character would be acted on, or fail, in a terminal, browser or file format.

    Control characters, line and paragraph separators, surrogates, Unicode noncharacters, and
    bidirectional controls.

    >>> [obeyed(sign) for sign in "\\n\\ufffe\\u202eé"]
    [True, True, True, False]
    """
    code = ord(sign)
    return (
        unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp")
        or unicodedata.bidirectional(sign) in _TURNS
        or code & 0xFFFE == 0xFFFE
        or 0xFDD0 <= code <= 0xFDEF
    )


def lower_case(value: Any) -> Any:
    """Text in lower case, for keywords that people may capitalize; other values unchanged.

    >>> lower_case("Smooth Rubber"), lower_case(3)
    ('smooth rubber', 3)
    """
    return value.lower() if isinstance(value, str) else value


def one_line(text: str) -> str:
    """The text with `MARK` in place of every character that would be acted on, not shown.

    >>> one_line("Kittiwake\\nGOOD")
    'Kittiwake·GOOD'
    """
    if text.isprintable():
        return text
    return "".join(MARK if obeyed(sign) else sign for sign in text)


# Field type for a title, a name or a note.
OneLine = Annotated[str, AfterValidator(one_line)]
# The same for the label of a part.
Label = Annotated[str, Field(max_length=60), AfterValidator(one_line)]

# Before a closed list of keywords, to accept any case.
ANY_CASE = BeforeValidator(lower_case)
