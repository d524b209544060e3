"""Paper: a size of page, the frames on it, and the parts of a document that fill them."""

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

MARGIN = 12 * mm
GAP = 16.0
# Least height [pt] that it is worth beginning columns in.
_ROOM = 110.0


class WholeWidth(CondPageBreak):  # type: ignore[misc]
    """Goes on to the next frame where this one is narrower than `width` [pt]."""

    def __init__(self, width: float) -> None:
        super().__init__(0)
        self.least = width - 1

    def wrap(self, available: float, height: float) -> Any:
        """Takes no room of its own."""
        return super().wrap(available, height if available >= self.least else -1)


class OnFirstPage(CondPageBreak):  # type: ignore[misc]
    """Goes on to the second page where what is left of the first does not hold `height` [pt].

    So that what heads the second page does not come in between.
    """

    def wrap(self, available: float, height: float) -> Any:
        """Takes no room of its own."""
        frames, frame = self._doctemplateAttr("pageTemplate").frames, self._doctemplateAttr("frame")
        later = frames[frames.index(frame) + 1 :]
        left = height + sum(one.height for one in later)
        if self.canv.getPageNumber() == 1 and self.height > left:
            frame.add_generated_content(PageBreak())
        return 0, 0


@dataclass(frozen=True)
class Part:
    """What begins on a page of its own, from top to bottom.

    ``across`` goes over the whole width; under it ``side``, a flowable with ``beside`` flowing
    round it and on below, or else ``columns``, two of them.
    """

    across: list[Any]
    side: list[Any]
    beside: list[Any]
    columns: list[Any]


@dataclass(frozen=True)
class Paper:
    """A size of page [pt], and the share of its width that a `side` takes."""

    size: tuple[float, float]
    share: float

    @property
    def width(self) -> float:
        """Width across the page [pt]."""
        return self.size[0] - 2 * float(MARGIN)

    @property
    def column(self) -> float:
        """Width [pt] of one of two columns."""
        return (self.width - GAP) / 2

    @property
    def height(self) -> float:
        """Height of the page's content [pt]."""
        return self.size[1] - 2 * float(MARGIN)

    @property
    def side(self) -> float:
        """Width [pt] of what stands at the side, with the rest flowing round it."""
        return self.share * self.width

    def write(self, parts: list[Part], under: Any, about: dict[str, str]) -> tuple[bytes, int]:
        """The document's bytes and its number of pages.

        `under` draws on each page's foot; `about` holds the document's title, subject and so on.
        """
        buffer = io.BytesIO()
        document = BaseDocTemplate(buffer, pagesize=self.size, lang="en", invariant=1, **about)
        story: list[Any] = []
        for number, part in enumerate(parts):
            names = [f"{place} {number}" for place in ("top", "body", "rest")]
            height = self.height_of(part.across, self.width)
            fits = height + self._least(part) <= self.height
            top = [self._frame(0, self.width, 0, height if fits else self.height)]
            body = list(self._body(part, height if fits else 0.0))
            frames = ([*top, *body] if fits else top, body, list(self._rest(part)))
            for name, held in zip(names, frames, strict=True):
                document.addPageTemplates(PageTemplate(name, held, onPage=under))
            story += [NextPageTemplate(names[0]), PageBreak()] if number else []
            story += part.across
            story += [FrameBreak()] if fits else [NextPageTemplate(names[1]), PageBreak()]
            story.append(NextPageTemplate(names[2]))
            story += [*part.side, FrameBreak(), *part.beside] if part.side else part.columns
        document.build(story)
        return buffer.getvalue(), document.page

    def flows(self, first: Part, second: Part) -> bool:
        """Whether two parts can be written flowing: what goes across them leaves room below."""
        top = self.height_of(first.across, self.width) + self.height_of(first.side, self.side)
        return max(top, self.height_of(second.across, self.width) + _ROOM) <= self.height

    def write_flowing(
        self, first: Part, second: Part, under: Any, about: dict[str, str]
    ) -> tuple[bytes, int]:
        """As `write`, with all but what goes across and the side in one flow of two columns.

        The first column goes on under the side, and the second begins beside it.
        What goes across the second part heads the second page, wherever the flow has come to.
        """
        buffer = io.BytesIO()
        document = BaseDocTemplate(buffer, pagesize=self.size, lang="en", invariant=1, **about)
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
        document.addPageTemplates(
            [
                PageTemplate("first", frames, onPage=under),
                PageTemplate("second", list(self._columns(head)), onPage=with_head),
                PageTemplate("more", list(self._columns(0)), onPage=under),
            ]
        )
        story = [NextPageTemplate(["second", "*", "more"]), *first.across, FrameBreak()]
        story += [*first.side, FrameBreak(), *first.beside, *second.columns]
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
        """A frame whose top left corner lies so far right of and below the content's."""
        y = self.size[1] - MARGIN - below - height
        bare = dict.fromkeys(("leftPadding", "rightPadding", "topPadding", "bottomPadding"), 0)
        return Frame(MARGIN + start, y, width, height, **bare)

    @staticmethod
    def height_of(flowables: list[Any], width: float) -> float:
        """Height [pt] that flowables take in this width, with room to spare for rounding."""
        total = 1.0
        for flowable in flowables:
            total += flowable.wrap(width, 1e6)[1]
            total += flowable.getSpaceBefore() + flowable.getSpaceAfter()
        return total
