"""Faces and styles of the sheet on paper: the faces that come with the figures' library."""

import unicodedata
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import matplotlib
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

INK, SOFT, RULE, SHADE = "#10263b", "#39444d", "#b9b4a6", "#eef1ee"
PLAIN, BOLD, SERIF, MONO = "LoopPlain", "LoopBold", "LoopSerif", "LoopMono"
_FILES = {
    PLAIN: "DejaVuSans.ttf",
    BOLD: "DejaVuSans-Bold.ttf",
    SERIF: "STIXGeneralBol.ttf",
    MONO: "DejaVuSansMono.ttf",
}
_LEADING = 1.2
# Size of notes beside the body type.
FINE = 0.82


@cache
def register() -> None:
    """Makes the faces known to the PDF library; they hold Latin, Greek and Cyrillic."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def drawable(text: str, face: str, other: str = "") -> str:
    """A text whose every character the face can draw.

    A character that it lacks is marked to be drawn in the `other` face, where one is given and has
    it; else it becomes "?". So does any that is read from right to left, which would come out
    backwards. What has no shape of its own, such as a joiner, is left out.
    """
    return "".join(_drawn(character, face, other) for character in text)


def _drawn(character: str, face: str, other: str) -> str:
    if character.isspace():
        return character
    if unicodedata.category(character) == "Cf":
        return ""
    backwards = unicodedata.bidirectional(character) in ("R", "AL")
    if not backwards and ord(character) in _known(face):
        return character
    if not backwards and other and ord(character) in _known(other):
        return f'<font name="{other}">{character}</font>'
    return "?"


def _known(face: str) -> Mapping[int, int]:
    """The characters of a face, by their numbers."""
    register()
    known: Mapping[int, int] = pdfmetrics.getFont(face).face.charToGlyph
    return known


def styles(size: float) -> dict[str, Any]:
    """Paragraph styles for body type of `size` [pt]."""
    register()

    def style(name: str, share: float = 1.0, face: str = PLAIN, **more: Any) -> ParagraphStyle:
        settings = {"textColor": INK, "leading": size * share * _LEADING, **more}
        return ParagraphStyle(name, fontName=face, fontSize=size * share, **settings)

    below = 0.25 * size
    return {
        "title": style("title", 2.1, SERIF, spaceAfter=0.3 * size),
        "verdict": style("verdict", 2.1, SERIF),
        "head": style(
            "head", 1.35, SERIF, spaceBefore=0.4 * size, spaceAfter=0.2 * size, keepWithNext=1
        ),
        "above": style("above", 1.35, SERIF, spaceBefore=0.4 * size, spaceAfter=0.2 * size),
        "body": style("body", spaceAfter=below),
        "cell": style("cell"),
        "item": style(
            "item",
            bulletFontName=PLAIN,
            bulletFontSize=size,
            leftIndent=1.75 * size,
            bulletIndent=0.0,
            spaceAfter=below,
        ),
        "fine": style("fine", FINE, textColor=SOFT, spaceAfter=below),
        "basis": style(
            "basis",
            0.82,
            bulletFontName=PLAIN,
            bulletFontSize=0.82 * size,
            leftIndent=size,
            bulletIndent=0.0,
            spaceAfter=0.15 * size,
        ),
        "mono": style(
            "mono",
            0.68,
            MONO,
            leading=0.7 * size,
            leftIndent=1.2 * size,
            firstLineIndent=-1.2 * size,
        ),
    }
