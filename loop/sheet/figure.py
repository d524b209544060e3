"""The loop drawn, in the forms in which a page takes a figure."""

import re

from loop.draw import picture
from loop.sheet.content import Sheet

_PROFILE = "profile"


def svg(sheet: Sheet) -> str:
    """An ``<svg>`` element to stand inside HTML: no prolog, no comments, no metadata."""
    text = picture(sheet.result, _PROFILE, "svg").decode()
    text = text[text.index("<svg") :]
    for pattern in (r"<!--.*?-->", r"<metadata>.*?</metadata>"):
        text = re.sub(pattern, "", text, flags=re.DOTALL)
    # The page sets its width; the drawing keeps its shape through its viewBox.
    head, rest = text.split(">", 1)
    head = re.sub(r'\s(width|height)="[^"]*"', "", head)
    return f'{head} role="img" aria-labelledby="drawn">{rest.strip()}'


def png(sheet: Sheet) -> bytes:
    """A raster figure to stand on a printed page."""
    return picture(sheet.result, _PROFILE, "png")
