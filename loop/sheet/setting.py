"""Texts and tables of the sheet on paper, for one size of type."""

from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.platypus import CondPageBreak, FrameBreak, Paragraph, Table

from loop.sheet.faces import FINE, INK, PLAIN, RULE, SOFT, drawable, styles
from loop.sheet.tied import tie

_TIGHT: list[Any] = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 2),
    ("RIGHTPADDING", (0, 0), (-1, -1), 4),
    ("TOPPADDING", (0, 0), (-1, -1), 1.2),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
]
# A line under the names of the columns, and a fainter one under each row.
RULED: list[Any] = [
    ("LINEBELOW", (0, 0), (-1, 0), 0.7, INK),
    ("LINEBELOW", (0, 1), (-1, -1), 0.4, RULE),
]


class _Whole(Paragraph):  # type: ignore[misc]
    """A paragraph that goes to the next frame rather than be broken, and is broken in that one."""

    moved = False

    def split(self, width: float, height: float) -> Any:
        """Its pieces, or none where it is to go on to the next frame."""
        if self.moved:
            return super().split(width, height)
        self.moved = True
        return []


class _Continued(Table):  # type: ignore[misc]
    """A table whose heading is said again over what goes on in the next frame."""

    heading: Any = None
    # Height [pt] under the heading without which it is not begun.
    room = 0.0

    def split(self, width: float, height: float) -> Any:
        """What fits, and the heading over the rest."""
        fits, *rest = super().split(width, height) or [None]
        if not rest or self.heading is None:
            return [fits, *rest] if fits is not None else []
        for table in rest:
            table.heading, table.room = self.heading, self.room
        return [fits, FrameBreak(), CondPageBreak(self.room), self.heading, *rest]


class Setting:
    """Makes flowables of texts, in body type of `size` [pt], for a page `width` [pt] wide.

    ``lost`` tells whether any text so far has a character that the paper's faces cannot show.
    """

    def __init__(self, size: float, width: float) -> None:
        self.size = size
        self.width = width
        self.styles = styles(size)
        self.lost = False

    def text(self, text: str, style: str) -> Any:
        """A paragraph of plain text, its numbers tied to their units."""
        return self.para(escape(tie(text)), style)

    def para(self, markup: str, style: str) -> Any:
        """A paragraph of text with marks in it, such as ``<b>``."""
        return Paragraph(self._drawable(markup, style), self.styles[style])

    def item(self, markup: str, bullet: str, style: str = "item") -> Any:
        """A paragraph with a bullet or a number before it."""
        return Paragraph(self._drawable(markup, style), self.styles[style], bulletText=bullet)

    def whole(self, markup: str, style: str, bullet: str | None = None) -> Any:
        """A paragraph of marked text that is not broken over frames where it fits into one."""
        return _Whole(self._drawable(markup, style), self.styles[style], bulletText=bullet)

    def _drawable(self, markup: str, style: str) -> str:
        """Marked text with what its face lacks in another, or as "?", which sets ``lost``."""
        drawn = drawable(markup, self.styles[style].fontName, PLAIN)
        self.lost |= drawn.count("?") > markup.count("?")
        return drawn

    def soft(self, text: str) -> str:
        """Marked text, smaller and fainter than what stands around it."""
        return f'<font color="{SOFT}" size="{FINE * self.size:.2f}">{escape(tie(text))}</font>'

    def table(
        self,
        rows: list[list[Any]],
        shares: Sequence[float],
        rules: list[Any],
        repeat: int = 0,
        heading: str = "",
    ) -> Any:
        """A table over the whole width, its columns by their `shares` of it.

        `heading` is said over what of it goes on elsewhere.
        """
        widths = [share * self.width for share in shares]
        # Rows are broken too: names may be long enough to make one higher than a page.
        table = _Continued(
            rows,
            widths,
            style=[*_TIGHT, *rules],
            repeatRows=repeat,
            splitInRow=1,
            hAlign="LEFT",
        )
        if heading:
            table.heading, table.room = self.text(heading, "above"), 8 * self.size
        return table
