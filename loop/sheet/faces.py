"""Typefaces and styles of the printed sheet; the typefaces come with matplotlib."""

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
# Size of notes, as a share of the body type.
FINE = 0.82


@cache
def register() -> None:
    """Registers the typefaces with reportlab; they cover Latin, Greek and Cyrillic."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def drawable(text: str, face: str, other: str = "") -> str:
    """Text with only characters that can be drawn.

    A character missing from the face is marked up in the `other` face if that has it, else it
    becomes "?". So does any right-to-left character, which would come out backwards. Format
    characters, such as a joiner, are dropped.
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
    """Code points that a face can draw."""
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
            leftIndent=2.2 * size,
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
