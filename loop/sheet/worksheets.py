"""Course worksheets on paper: pages for each student, one answer sheet for the teacher."""

import io
from collections.abc import Iterator, Sequence
from typing import Any, Literal
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.platypus import (
    Flowable,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
)

from loop.sheet.faces import BOLD, INK, PLAIN, RULE, SHADE, SOFT, drawable, register, styles
from loop.teach.lessons.picture import Box, Path, Picture, Words
from loop.teach.worksheet import Item, Worksheet
from loop.words.course import SAY

PageSize = Literal["letter", "a4"]
_PAGES = {"letter": LETTER, "a4": A4}
# Type size, margin, and what reportlab leaves free inside the margin [pt].
_SIZE, _MARGIN, _INNER = 10.0, 48.0, 6.0
_GAP = 0.9 * _SIZE


def worksheets(sheets: Sequence[Worksheet], page: PageSize) -> bytes:
    """The PDF of worksheets to fill in, each starting on its own page."""
    story: list[Any] = []
    for sheet in sheets:
        story += [*_head(sheet), *(_asked(n, item) for n, item in enumerate(sheet.items, 1))]
        story.append(PageBreak())
    return _written(story, page, SAY("sheet-title-blank"))


def answers(sheets: Sequence[Worksheet], page: PageSize) -> bytes:
    """The PDF of one answer sheet for all these worksheets."""
    story: list[Any] = []
    for sheet in sheets:
        story += [*_head(sheet, filled=True)]
        if sheet.drawn is not None:
            story += [_Drawing(sheet.drawn, _width(page)), Spacer(0, _GAP)]
        story += [_answered(n, item) for n, item in enumerate(sheet.items, 1)]
        if sheet is not sheets[-1]:
            story.append(Spacer(0, 2 * _GAP) if sheet.drawn is None else PageBreak())
    return _written(story, page, SAY("sheet-title-answers"))


def _width(page: PageSize) -> float:
    return float(_PAGES[page][0]) - 2 * (_MARGIN + _INNER)


def _written(story: list[Any], page: PageSize, title: str) -> bytes:
    out = io.BytesIO()
    register()
    document = SimpleDocTemplate(
        out,
        pagesize=_PAGES[page],
        leftMargin=_MARGIN,
        rightMargin=_MARGIN,
        topMargin=_MARGIN,
        bottomMargin=_MARGIN,
        title=title,
        invariant=1,
    )
    document.build(story, onFirstPage=_foot, onLaterPages=_foot)
    return out.getvalue()


def _foot(canvas: Any, document: Any) -> None:
    canvas.setFont(PLAIN, 8)
    canvas.setFillColor(SOFT)
    canvas.drawRightString(document.pagesize[0] - _MARGIN, _MARGIN / 2, str(document.page))


def _text(text: str, style: str = "body") -> Paragraph:
    found = styles(_SIZE)[style]
    return Paragraph(drawable(escape(text), found.fontName), found)


def _bold(text: str) -> Paragraph:
    return Paragraph(f"<b>{drawable(escape(text), PLAIN)}</b>", styles(_SIZE)["body"])


def _head(sheet: Worksheet, filled: bool = False) -> Iterator[Any]:
    name = f"{sheet.pupil}" if sheet.pupil else ""
    if not filled:
        gap = "\u00a0" * 8
        pupil, line = sheet.pupil or "_" * 24, "_" * 14
        name = f"{SAY('sheet-name')} {pupil}{gap}{SAY('sheet-date')} {line}"
    yield _text(sheet.title, "title")
    if name:
        yield _text(name)
    yield Spacer(0, 0.5 * _GAP)


def _asked(number: int, item: Item) -> Any:
    block: list[Any] = [_text(f"{number}. {item.text}")]
    block += [_choice(letter, text) for letter, text in item.choices]
    if item.table:
        block.append(_table(item.table))
    block += [_Rule() for _ in range(item.lines)]
    return KeepTogether([*block, Spacer(0, _GAP)])


def _answered(number: int, item: Item) -> Any:
    block: list[Any] = [
        _text(f"{number}. {item.text}", "fine"),
        _bold(item.answer) if item.choices else _text(item.answer),
    ]
    if item.why:
        block.append(_text(item.why))
    if item.table:
        block.append(_table(item.table))
    return KeepTogether([*block, Spacer(0, 0.6 * _GAP)])


def _choice(letter: str, text: str) -> Table:
    box = Table([[""]], colWidths=[9], rowHeights=[9], style=[("BOX", (0, 0), (0, 0), 0.7, INK)])
    row = Table([[box, _text(f"{letter})  {text}", "cell")]], colWidths=[22, None])
    row.setStyle([("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
                  ("TOPPADDING", (0, 0), (-1, -1), 1)])  # fmt: skip
    return row


def _table(rows: tuple[tuple[str, ...], ...]) -> Table:
    cells = [[_text(text, "fine") for text in row] for row in rows]
    rules = [
        ("GRID", (0, 0), (-1, -1), 0.5, RULE),
        ("BACKGROUND", (0, 0), (-1, 0), SHADE),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
    ]
    return Table(cells, style=rules, spaceBefore=4, repeatRows=1)


class _Rule(Flowable):  # type: ignore[misc]
    """A line to write on."""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        return width, 2.2 * _SIZE

    def draw(self) -> None:
        self.canv.setStrokeColor(RULE)
        self.canv.line(0, 0, self.width, 0)


class _Drawing(Flowable):  # type: ignore[misc]
    """A picture made of shapes, as wide as the page's text."""

    def __init__(self, drawn: Picture, width: float) -> None:
        super().__init__()
        self.drawn, self.scale = drawn, width / drawn.width

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return self.drawn.width * self.scale, self.drawn.height * self.scale

    def draw(self) -> None:
        canvas = self.canv
        canvas.scale(self.scale, self.scale)
        for shape in self.drawn.shapes:
            self._shape(canvas, shape)

    def _shape(self, canvas: Any, shape: Box | Words | Path) -> None:
        top = self.drawn.height
        match shape:
            case Box():
                canvas.setFillColor(shape.fill)
                canvas.rect(shape.x, top - shape.y - shape.height, shape.width, shape.height, 0, 1)
            case Words():
                canvas.setFillColor(shape.fill)
                canvas.setFont(BOLD if shape.bold else PLAIN, shape.size)
                write = {"start": canvas.drawString, "middle": canvas.drawCentredString,
                         "end": canvas.drawRightString}[shape.anchor]  # fmt: skip
                write(shape.x, top - shape.y, drawable(shape.text, PLAIN))
            case Path():
                canvas.setStrokeColor(shape.color)
                canvas.setLineWidth(shape.width)
                canvas.setDash([5, 4] if shape.dashed else [])
                path = canvas.beginPath()
                path.moveTo(shape.points[0][0], top - shape.points[0][1])
                for x, y in shape.points[1:]:
                    path.lineTo(x, top - y)
                canvas.drawPath(path)
