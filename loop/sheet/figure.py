"""The loop drawn, in the forms in which a page takes a figure."""

import re

from loop.draw import profile_beside, to_bytes
from loop.sheet.content import Sheet


def svg(sheet: Sheet) -> str:
    """An ``<svg>`` element to stand inside HTML: no prolog, no comments, no metadata."""
    text = to_bytes(profile_beside(sheet.result), "svg").decode()
    text = text[text.index("<svg") :]
    for pattern in (r"<!--.*?-->", r"<metadata>.*?</metadata>"):
        text = re.sub(pattern, "", text, flags=re.DOTALL)
    # The page sets its width; the drawing keeps its shape through its viewBox.
    head, rest = text.split(">", 1)
    head = re.sub(r'\s(width|height)="[^"]*"', "", head)
    return f'{head} role="img" aria-labelledby="drawn">{rest.strip()}'


def png(sheet: Sheet) -> bytes:
    """A raster figure to stand on a printed page."""
    return to_bytes(profile_beside(sheet.result), "png")
