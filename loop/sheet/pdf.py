"""The sheet as a PDF: the content of the HTML page, laid out for paper."""

import io
import math
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any
from xml.sax.saxutils import escape

from reportlab import rl_config
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.platypus import Image, KeepTogether, Spacer

from loop.sheet import figure
from loop.sheet.buying_table import blanks, buying, buying_table, card_table, narrow_table, waits
from loop.sheet.content import Basis, Sheet
from loop.sheet.faces import INK, SOFT
from loop.sheet.paper import GAP, Foot, OnFirstPage, Paper, Part, WholeWidth
from loop.sheet.setting import RULED, Setting
from loop.words import Told
from loop.words.job_sheet import SAY
from loop.words.template import capital

# Type sizes [pt] and drawing widths (share of the page) to try until the sheet fits two pages;
# then the same with the parts flowing together; else the first setting with the fewest pages.
_SETTINGS = ((8.6, 0.52), (8.0, 0.52), (7.5, 0.52), (7.5, 0.48))
_DENSE = ((8.6, 0.485), (8.0, 0.485), (7.5, 0.485))
_PAGES = 2
# Most height of the drawing over that of the page; least scale to which it is reduced to fit on
# the units' page; room for its title, in type sizes.
_TALLEST, _SMALLEST, _TITLE = 0.75, 0.7, 3.0
# With more pages than this, smaller type would not bring the sheet down to two: with each part on
# its own page, and with the parts flowing.
_HOPELESS, _HOPELESS_FLOWING = 3, 6
# reportlab keeps its fonts, and the characters used from them, per process.
ONE_AT_A_TIME = threading.Lock()

_Built = tuple[bytes, int]


def render(sheet: Sheet) -> bytes:
    """The PDF of a sheet; same content, same bytes, whatever other threads do."""
    drawing = figure.pixels(sheet)
    with ONE_AT_A_TIME, _as_bytes():
        best, pages = _fewest(_apart(sheet, drawing), _HOPELESS)
        if pages > _PAGES:
            flowing, fewer = _fewest(_flowing(sheet, drawing), _HOPELESS_FLOWING)
            best = flowing if fewer <= pages else best
    return best


@contextmanager
def _as_bytes() -> Iterator[None]:
    """Writes streams as bytes: as ASCII text, reportlab's default, they are a quarter larger.

    Bytes also take a tenth of the time, since the text encoding runs in Python.
    """
    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _fewest(tries: Iterator[_Built], hopeless: int) -> tuple[bytes, float]:
    """The first try with the fewest pages, and how many pages it has.

    Stops at a try with two pages or fewer, or with more than `hopeless`.
    """
    best, pages = b"", math.inf
    for made, count in tries:
        if count < pages:
            best, pages = made, count
        if not _PAGES < pages <= hopeless:
            break
    return best, pages


def _apart(sheet: Sheet, drawing: bytes) -> Iterator[_Built]:
    """The PDF and its number of pages in each setting, each part starting on its own page."""
    for size, share in _SETTINGS:
        story, paper = _set(sheet, drawing, size, share)
        yield paper.write(story.parts(), Foot(sheet, story.setting), _about(sheet))


def _flowing(sheet: Sheet, drawing: bytes) -> Iterator[_Built]:
    """The same with the parts flowing together, where possible."""
    for size, share in _DENSE:
        story, paper = _set(sheet, drawing, size, share)
        parts = story.dense()
        if paper.flows(*parts):
            yield paper.write_flowing(*parts, Foot(sheet, story.setting), _about(sheet))


def _set(sheet: Sheet, drawing: bytes, size: float, share: float) -> tuple["_Story", Paper]:
    paper = Paper(LETTER if sheet.result.job.units == "us" else A4, share)
    return _Story(sheet, drawing, size, paper), paper


def _about(sheet: Sheet) -> dict[str, str]:
    return {
        "title": SAY("page-title", title=sheet.title),
        "subject": SAY("page-subject"),
        "creator": f"loop {sheet.version}",
    }


class _Story:
    """The sheet's sections as flowables, in one type size."""

    def __init__(self, sheet: Sheet, drawing: bytes, size: float, paper: Paper) -> None:
        self.sheet = sheet
        self.drawing = drawing
        self.size = size
        self.setting = Setting(size, paper.width)
        self.width = paper.width
        self.side = paper.side
        self.height = paper.height
        self.column = paper.column

    def parts(self) -> list[Part]:
        """Two parts: what to build the loop from; what to do on the boat, and the basis."""
        return [
            Part(
                across=[*self._head(), *self._verdict()],
                side=[*self._figure()],
                beside=[
                    *self._findings(),
                    self._in_words(),
                    WholeWidth(self.width),
                    *buying(
                        self.sheet, self.setting, partial(buying_table, crowded=self.sheet.crowded)
                    ),
                ],
                columns=[],
            ),
            Part(across=[*self._card()], side=[], beside=[], columns=[*self._boat()]),
        ]

    def dense(self) -> tuple[Part, Part]:
        """The same for flowing layout: what overflows the first page continues under the card."""
        narrow = min(self.side, self.width - self.side - GAP)
        steps = Paper.height_of([*self._start()], self.column)
        return (
            Part(
                across=[*self._head(), *self._verdict()],
                side=[*self._figure()],
                beside=[
                    *self._findings(),
                    self._in_words(),
                    *buying(self.sheet, self.setting, partial(narrow_table, width=narrow)),
                ],
                columns=[],
            ),
            Part(
                across=[*self._card()],
                side=[],
                beside=[],
                columns=[OnFirstPage(steps), *self._boat()],
            ),
        )

    def _in_words(self) -> Any:
        return self.setting.text(SAY("drawn-in-words", text=self.sheet.figure_text), "fine")

    def _boat(self) -> Iterator[Any]:
        """What to do on the boat, and the basis of the sheet's numbers."""
        yield from self._start()
        yield from self._cleaning()
        yield from self._cautions()
        yield from self._basis(SAY("sources-title"), self.sheet.sources)
        yield from self._basis(SAY("estimates-title"), self.sheet.estimates)
        yield from self._inputs()

    def _head(self) -> Iterator[Any]:
        yield self.setting.text(SAY("kind"), "fine")
        yield self.setting.text(self.sheet.title, "title")
        yield blanks(self.sheet.by_hand, self.setting)
        facts = [
            self.setting.para(f"{self.setting.soft(fact.name)}<br/>{escape(fact.value)}", "cell")
            for fact in self.sheet.facts
        ]
        rules = [("LINEBELOW", (0, 0), (-1, -1), 1.4, INK)]
        yield self.setting.table([facts], (0.2, 0.26, 0.3, 0.24), rules)
        yield Spacer(0, self.size)

    def _verdict(self) -> Iterator[Any]:
        sheet = self.sheet
        dash = {"good": None, "attention": (4, 3), "bad": (1.2, 1.2)}[sheet.verdict]
        said = [
            [self.setting.text(sheet.verdict.capitalize(), "verdict")],
            [self.setting.text(sheet.verdict_line, "cell")],
        ]
        bar = ("LINEBEFORE", (0, 0), (0, -1), 6, INK, 0, dash)
        yield self.setting.table(said, (1.0,), [bar, ("LEFTPADDING", (0, 0), (-1, -1), 9)])
        yield Spacer(0, 0.6 * self.size)
        rows = [[self.setting.text(SAY(name), "fine") for name in _UNIT_COLUMNS]]
        for unit in sheet.units:
            beside = "; ".join(text for text in (unit.band, unit.rest) if text)
            flow = f"<b>{unit.flow}</b> {self.setting.soft(beside)}"
            name = f"<b>{escape(unit.name)}</b> {self.setting.soft(unit.state)}"
            texts = (name, unit.need, flow, unit.rise, unit.condensing)
            rows.append([self.setting.para(text, "cell") for text in texts])
        yield self.setting.table(rows, (0.26, 0.14, 0.32, 0.13, 0.15), RULED, repeat=1)
        yield Spacer(0, 0.8 * self.size)

    def _figure(self) -> Iterator[Any]:
        yield self.setting.text(SAY("drawn-title") + self.sheet.mended, "head")
        image = Image(io.BytesIO(self.drawing))
        ratio = image.imageHeight / image.imageWidth
        # A long key of parts makes the drawing tall; leave room for its text.
        height = min(self.side * ratio, _TALLEST * self.height)
        # If still legible, reduce it to fit the page that starts with the units and use its space.
        room = self.height - Paper.height_of([*self._head(), *self._verdict()], self.width)
        room -= _TITLE * self.size
        if _SMALLEST * height <= room:
            height = min(height, room)
        image.drawWidth, image.drawHeight = height / ratio, height
        yield image

    def _findings(self) -> Iterator[Any]:
        yield self.setting.text(SAY("findings-title") + self.sheet.found, "head")
        for finding in self.sheet.findings:
            yield self.setting.whole(_finding_text(finding), "body")
        if not self.sheet.findings:
            yield self.setting.text(SAY("findings-none"), "body")

    def _card(self) -> Iterator[Any]:
        title = SAY("card-title") + (self.sheet.mended if self.sheet.card else "")
        yield self.setting.text(title, "head")
        if not self.sheet.card:
            yield self.setting.text(self.sheet.card_waits, "body")
            return
        yield from card_table(self.sheet, self.setting)

    def _start(self) -> Iterator[Any]:
        yield self.setting.text(SAY("start-title") + self.sheet.mended, "head")
        yield from waits(self.sheet, self.setting)
        for number, step in enumerate(self.sheet.steps, 1):
            yield self.setting.whole(escape(step), "item", f"{number}.")

    def _cleaning(self) -> Iterator[Any]:
        yield self.setting.text(SAY("clean-title") + self.sheet.mended, "head")
        for line in self.sheet.cleaning:
            yield self.setting.text(capital(line), "body")

    def _cautions(self) -> Iterator[Any]:
        yield self.setting.text(SAY("cautions-title"), "head")
        for caution in self.sheet.result.cautions:
            yield self.setting.whole(escape(caution), "item", "•")

    def _basis(self, title: str, lines: tuple[Basis, ...]) -> Iterator[Any]:
        yield KeepTogether([self.setting.text(title, "head"), *self._bases(lines)])

    def _bases(self, lines: tuple[Basis, ...]) -> Iterator[Any]:
        texts = [f"<b>{escape(line.what)}:</b> {escape(line.on)}" for line in lines]
        if self.sheet.crowded:
            yield self.setting.para(". ".join(texts) + ".", "fine")
            return
        for text in texts:
            yield self.setting.item(text, "•", "basis")

    def _inputs(self) -> Iterator[Any]:
        inputs = self.sheet.inputs
        yield self.setting.text(SAY("inputs-title") + self.sheet.found, "head")
        lines = inputs.job.splitlines()
        if inputs.pump:
            lines += ["", f"# {SAY('inputs-pump')}", *inputs.pump.splitlines()]
        kept = [escape(line).replace("  ", "\u00a0\u00a0") or "\u00a0" for line in lines]
        for line in kept:
            yield self.setting.para(line, "mono")


def _finding_text(finding: Told) -> str:
    message = capital(finding.message)
    return (
        f"<b>{finding.level.capitalize()}</b> · {escape(finding.title)}, {escape(finding.where)}. "
        f"{escape(message)}. "
        f"<b>{SAY('findings-fix')}</b> {escape(capital(finding.first_fix))}. "
        f'<font color="{SOFT}">({escape(finding.source)} · {finding.code})</font>'
    )


_UNIT_COLUMNS = ("units-name", "units-need", "units-flow", "units-rise", "units-condensing")
