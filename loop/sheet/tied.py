"""Keeps a number and its unit on one line."""

import re


def tie(text: str) -> str:
    """Text that does not break between a number and its unit.

    >>> tie("180 gal/h of water") == "180\N{NO-BREAK SPACE}gal/h of water"
    True
    """
    return re.sub(r"(?<=\d) (?=[^\d\s(])", "\N{NO-BREAK SPACE}", text)
