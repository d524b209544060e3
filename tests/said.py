"""Finds sentences by the text rows that they are made from, whatever their wording."""

import re

from loop.words.diagnosis import SAY
from loop.words.template import BLANK, Sayings

_BRACKET = re.compile(r"\[([^\[\]]*\{[^\[\]]*)\]")


def pattern(say: Sayings, row: str, **values: str) -> re.Pattern[str]:
    """A pattern for every sentence of a row, with these texts in its blanks, any in the others."""

    def plain(template: str) -> str:
        found, end = "", 0
        for blank in BLANK.finditer(template):
            found += re.escape(template[end : blank.start()])
            found += re.escape(values[blank[1]]) if blank[1] in values else f"(?P<{blank[1]}>.+?)"
            end = blank.end()
        return found + re.escape(template[end:])

    template, found, end = say.rows[row], "", 0
    for bracket in _BRACKET.finditer(template):
        found += plain(template[end : bracket.start()]) + f"(?:{plain(bracket[1])})?"
        end = bracket.end()
    return re.compile(found + plain(template[end:]), re.IGNORECASE | re.DOTALL)


def leads_with(text: str, cause: str) -> bool:
    """Whether a diagnosis's first line names this cause."""
    return text.startswith(f"{SAY.rows['headline-cause'].partition('{cause}')[0]}{cause}")


def is_said(text: str, say: Sayings, row: str, **values: str) -> bool:
    """Whether a text is a sentence of that row."""
    return pattern(say, row, **values).fullmatch(text) is not None
