"""Texts and tables of the printed sheet in one type size."""

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
# A rule under the column names, and a fainter one under each row.
RULED: list[Any] = [
    ("LINEBELOW", (0, 0), (-1, 0), 0.7, INK),
    ("LINEBELOW", (0, 1), (-1, -1), 0.4, RULE),
]


class _Whole(Paragraph):  # type: ignore[misc]
    """A paragraph that moves to the next frame rather than break; there it may break."""

    moved = False

    def split(self, width: float, height: float) -> Any:
        """Its pieces, or none to move it to the next frame."""
        if self.moved:
            return super().split(width, height)
        self.moved = True
        return []


class _Continued(Table):  # type: ignore[misc]
    """A table that repeats its heading above the part continued in the next frame."""

    heading: Any = None
    # Least height [pt] needed under the repeated heading.
    room = 0.0

    def split(self, width: float, height: float) -> Any:
        """The part that fits, then the heading and the rest."""
        fits, *rest = super().split(width, height) or [None]
        if not rest or self.heading is None:
            return [fits, *rest] if fits is not None else []
        for table in rest:
            table.heading, table.room = self.heading, self.room
        return [fits, FrameBreak(), CondPageBreak(self.room), self.heading, *rest]


class Setting:
    """Makes flowables of text, in body type of `size` [pt], for a page `width` [pt] wide.

    ``lost`` is true once a text had a character that no typeface of the sheet has.
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
        """A paragraph of marked-up text, such as with ``<b>``."""
        return Paragraph(self._drawable(markup, style), self.styles[style])

    def item(self, markup: str, bullet: str, style: str = "item") -> Any:
        """A paragraph with a bullet or number."""
        return Paragraph(self._drawable(markup, style), self.styles[style], bulletText=bullet)

    def whole(self, markup: str, style: str, bullet: str | None = None) -> Any:
        """A paragraph of marked-up text that does not break across frames if it fits in one."""
        return _Whole(self._drawable(markup, style), self.styles[style], bulletText=bullet)

    def _drawable(self, markup: str, style: str) -> str:
        """Markup with missing characters in another face or as "?"; the latter sets ``lost``."""
        drawn = drawable(markup, self.styles[style].fontName, PLAIN)
        self.lost |= drawn.count("?") > markup.count("?")
        return drawn

    def soft(self, text: str) -> str:
        """Markup for text smaller and fainter than its surroundings."""
        return f'<font color="{SOFT}" size="{FINE * self.size:.2f}">{escape(tie(text))}</font>'

    def table(
        self,
        rows: list[list[Any]],
        shares: Sequence[float],
        rules: list[Any],
        repeat: int = 0,
        heading: str = "",
    ) -> Any:
        """A full-width table, its columns given as `shares` of that width.

        `heading` is repeated above any part that continues elsewhere.
        """
        widths = [share * self.width for share in shares]
        # Rows may break too: a long name can make one taller than a page.
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
