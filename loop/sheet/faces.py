"""Faces and styles of the sheet on paper: the faces that come with the figures' library."""

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
            leading=0.75 * size,
            leftIndent=1.2 * size,
            firstLineIndent=-1.2 * size,
        ),
    }
