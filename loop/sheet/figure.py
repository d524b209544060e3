"""The drawing of the loop in the formats that pages take."""

import re
from typing import Any

from loop.draw import profile_beside, to_bytes
from loop.draw.profile import BESIDE, Layout
from loop.draw.style import to_pixels
from loop.sheet.content import Sheet
from loop.words.figures import SAY

# For a phone held upright, 360 CSS pixels (3.75 in) wide including the page's margin: same type
# size, panels narrower and taller.
_NARROW = Layout(
    page=3.5,
    left=0.55,
    width=2.85,
    loop=3.0,
    caption=SAY("profile-narrow"),
)
# Prefix of ids in the narrow drawing, which shares the page with the wide one.
_OWN = "narrow-"


def svg(sheet: Sheet) -> str:
    """An ``<svg>`` element to embed in HTML: no prolog, no comments, no metadata."""
    return _element(to_bytes(_drawn(sheet), "svg"))


def narrow_svg(sheet: Sheet) -> str:
    """The same for a narrow screen, with its own ids."""
    text = _element(to_bytes(_drawn(sheet, _NARROW), "svg"))
    return re.sub(r'(\bid="|url\(#|href="#)', rf"\g<1>{_OWN}", text)


def _element(file: bytes) -> str:
    text = file.decode()
    text = text[text.index("<svg") :]
    for pattern in (r"<!--.*?-->", r"<metadata>.*?</metadata>"):
        text = re.sub(pattern, "", text, flags=re.DOTALL)
    # The page sets the width; the viewBox keeps the aspect ratio.
    head, rest = text.split(">", 1)
    head = re.sub(r'\s(width|height)="[^"]*"', "", head)
    return f'{head} role="img" aria-labelledby="drawn">{rest.strip()}'


def pixels(sheet: Sheet) -> bytes:
    """A raster figure for a printed page, as an uncompressed file."""
    return to_pixels(_drawn(sheet))


def _drawn(sheet: Sheet, layout: Layout = BESIDE) -> Any:
    """The loop as fixed; behind it, dashed, whatever was moved."""
    return profile_beside(sheet.fixed, sheet.result if sheet.changes else None, layout)
