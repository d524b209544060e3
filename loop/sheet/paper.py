"""Paper layout: page size, frames, and the parts of a document that fill them."""

import io
from collections.abc import Iterator
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Frame,
    FrameBreak,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
)

from loop.records import dataclass
from loop.sheet.content import Sheet
from loop.sheet.faces import PLAIN, SOFT, drawable
from loop.sheet.setting import Setting
from loop.words.job_sheet import SAY

MARGIN = 12 * mm
GAP = 16.0
# Least height [pt] worth starting columns in.
_ROOM = 110.0


class WholeWidth(CondPageBreak):  # type: ignore[misc]
    """Moves on to the next frame if this one is narrower than `width` [pt]."""

    def __init__(self, width: float) -> None:
        super().__init__(0)
        self.least = width - 1

    def wrap(self, available: float, height: float) -> Any:
        """Takes no space itself."""
        return super().wrap(available, height if available >= self.least else -1)


class OnFirstPage(CondPageBreak):  # type: ignore[misc]
    """Moves on to the second page if the rest of the first cannot hold `height` [pt].

    This keeps the heading of the second page from interrupting what follows.
    """

    def wrap(self, available: float, height: float) -> Any:
        """Takes no space itself."""
        frames, frame = self._doctemplateAttr("pageTemplate").frames, self._doctemplateAttr("frame")
        later = frames[frames.index(frame) + 1 :]
        left = height + sum(one.height for one in later)
        if self.canv.getPageNumber() == 1 and self.height > left:
            frame.add_generated_content(PageBreak())
        return 0, 0


@dataclass(frozen=True)
class Part:
    """A section that starts on its own page, from top to bottom.

    ``across`` spans the full width. Under it is ``side``, a flowable with ``beside`` flowing around
    and below it; or else ``columns``, set in two columns.
    """

    across: list[Any]
    side: list[Any]
    beside: list[Any]
    columns: list[Any]


@dataclass(frozen=True)
class Paper:
    """Page size [pt], and the share of its width that a `side` takes."""

    size: tuple[float, float]
    share: float

    @property
    def width(self) -> float:
        """Content width [pt]."""
        return self.size[0] - 2 * float(MARGIN)

    @property
    def column(self) -> float:
        """Width of each of two columns [pt]."""
        return (self.width - GAP) / 2

    @property
    def height(self) -> float:
        """Content height [pt]."""
        return self.size[1] - 2 * float(MARGIN)

    @property
    def side(self) -> float:
        """Width of the side flowable [pt]."""
        return self.share * self.width

    def write(self, parts: list[Part], under: Any, about: dict[str, str]) -> tuple[bytes, int]:
        """The document's bytes and its number of pages.

        `under` draws each page's footer; `about` holds the document's title, subject and so on.
        """
        story: list[Any] = []
        templates: list[PageTemplate] = []
        for number, part in enumerate(parts):
            names = [f"{place} {number}" for place in ("top", "body", "rest")]
            height = self.height_of(part.across, self.width)
            fits = height + self._least(part) <= self.height
            top = [self._frame(0, self.width, 0, height if fits else self.height)]
            body = list(self._body(part, height if fits else 0.0))
            frames = ([*top, *body] if fits else top, body, list(self._rest(part)))
            for name, held in zip(names, frames, strict=True):
                templates.append(PageTemplate(name, held, onPage=under))
            story += [NextPageTemplate(names[0]), PageBreak()] if number else []
            story += part.across
            story += [FrameBreak()] if fits else [NextPageTemplate(names[1]), PageBreak()]
            story.append(NextPageTemplate(names[2]))
            story += [*part.side, FrameBreak(), *part.beside] if part.side else part.columns
        return self._built(templates, story, about)

    def write_one(self, story: list[Any], under: Any, about: dict[str, str]) -> bytes:
        """The bytes of a document of one page that the story fits; other arguments as `write`."""
        frame = self._frame(0, self.width, 0, self.height)
        return self._built([PageTemplate("one", [frame], onPage=under)], story, about)[0]

    def flows(self, first: Part, second: Part) -> bool:
        """Whether two parts can be written flowing: what spans the width leaves room below."""
        top = self.height_of(first.across, self.width) + self.height_of(first.side, self.side)
        return max(top, self.height_of(second.across, self.width) + _ROOM) <= self.height

    def write_flowing(
        self, first: Part, second: Part, under: Any, about: dict[str, str]
    ) -> tuple[bytes, int]:
        """Like `write`, but everything except `across` and `side` is one flow in two columns.

        The first column continues under the side; the second starts beside it. The second part's
        `across` heads the second page, wherever the flow has got to.
        """
        top = self.height_of(first.across, self.width)
        side = self.height_of(first.side, self.side)
        head = self.height_of(second.across, self.width)

        def with_head(canvas: Any, page: Any) -> None:
            under(canvas, page)
            self._frame(0, self.width, 0, head).addFromList(list(second.across), canvas)

        start, left = self.side + GAP, self.height - top - side
        frames = [self._frame(0, self.width, 0, top), self._frame(0, self.side, top, side)]
        if left > _ROOM / 2:
            frames.append(self._frame(0, self.side, top + side, left))
        frames.append(self._frame(start, self.width - start, top, side + left))
        templates = [
            PageTemplate("first", frames, onPage=under),
            PageTemplate("second", list(self._columns(head)), onPage=with_head),
            PageTemplate("more", list(self._columns(0)), onPage=under),
        ]
        story = [NextPageTemplate(["second", "*", "more"]), *first.across, FrameBreak()]
        story += [*first.side, FrameBreak(), *first.beside, *second.columns]
        return self._built(templates, story, about)

    def _built(
        self, templates: list[PageTemplate], story: list[Any], about: dict[str, str]
    ) -> tuple[bytes, int]:
        buffer = io.BytesIO()
        document = BaseDocTemplate(buffer, pagesize=self.size, lang="en", invariant=1, **about)
        document.addPageTemplates(templates)
        document.build(story)
        return buffer.getvalue(), document.page

    def _least(self, part: Part) -> float:
        return self.height_of(part.side, self.side) if part.side else _ROOM

    def _body(self, part: Part, below: float) -> Iterator[Frame]:
        if not part.side:
            yield from self._columns(below)
            return
        height = self.height_of(part.side, self.side)
        start = self.side + GAP
        yield self._frame(0, self.side, below, height)
        yield self._frame(start, self.width - start, below, height)
        left = self.height - below - height
        if left > _ROOM / 2:
            yield self._frame(0, self.width, below + height, left)

    def _rest(self, part: Part) -> Iterator[Frame]:
        if part.side:
            yield self._frame(0, self.width, 0, self.height)
        else:
            yield from self._columns(0)

    def _columns(self, below: float) -> Iterator[Frame]:
        for start in (0.0, self.column + GAP):
            yield self._frame(start, self.column, below, self.height - below)

    def _frame(self, start: float, width: float, below: float, height: float) -> Frame:
        """A frame, with its top left corner given relative to that of the page's content."""
        y = self.size[1] - MARGIN - below - height
        bare = dict.fromkeys(("leftPadding", "rightPadding", "topPadding", "bottomPadding"), 0)
        return Frame(MARGIN + start, y, width, height, **bare)

    @staticmethod
    def height_of(flowables: list[Any], width: float) -> float:
        """Height of flowables at this width [pt], with an allowance for rounding."""
        total = 1.0
        for flowable in flowables:
            total += flowable.wrap(width, 1e6)[1]
            total += flowable.getSpaceBefore() + flowable.getSpaceAfter()
        return total


class Foot:
    """Draws the footer of a page: job, version, page number."""

    def __init__(self, sheet: Sheet, setting: Setting) -> None:
        self.setting = setting
        title = sheet.title if len(sheet.title) <= 60 else f"{sheet.title[:59]}…"
        self.text = SAY(
            "foot-paper", title=title, version=sheet.version, digest=sheet.inputs.digest
        )

    def __call__(self, canvas: Any, document: Any) -> None:
        canvas.setFont(PLAIN, 6.5)
        canvas.setFillColor(SOFT)
        canvas.drawString(MARGIN, 8.9 * mm, SAY("foot-warranty"))
        foot = f"{self.text} · {SAY('foot-lost')}" if self.setting.lost else self.text
        canvas.drawString(MARGIN, 6.2 * mm, drawable(foot, PLAIN))
        right = document.pagesize[0] - MARGIN
        canvas.drawRightString(right, 6.2 * mm, SAY("foot-page", page=canvas.getPageNumber()))
