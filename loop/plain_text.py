"""Text that other people wrote, fit to be shown: one line of signs that are seen, not obeyed."""

import unicodedata
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field

# Marks that turn the direction of writing, behind which a text can hide what it says.
_TURNS = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
# Stands where a sign was that is not shown.
MARK = "·"


def obeyed(sign: str) -> bool:
    """Whether a terminal, a browser or a file format would do something at this sign, or fail.

    Control signs, ends of lines and paragraphs, halves of signs, what Unicode reserves for no sign
    at all, and marks that turn the direction of writing.

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
    """Text in small letters, for words of ours that people write as they please; all else as it is.

    >>> lower_case("Smooth Rubber"), lower_case(3)
    ('smooth rubber', 3)
    """
    return value.lower() if isinstance(value, str) else value


def one_line(text: str) -> str:
    """The text with a mark for every sign that would be obeyed rather than shown.

    >>> one_line("Kittiwake\\nGOOD")
    'Kittiwake·GOOD'
    """
    if text.isprintable():
        return text
    return "".join(MARK if obeyed(sign) else sign for sign in text)


# A field for a title, a name or a note.
OneLine = Annotated[str, AfterValidator(one_line)]
# The same for what a person calls a part.
Label = Annotated[str, Field(max_length=60), AfterValidator(one_line)]

# Before a closed list of words, which then may be written in capitals too.
ANY_CASE = BeforeValidator(lower_case)
