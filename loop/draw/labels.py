"""Words placed where they cover neither other words nor, if it can be helped, the lines drawn."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.text import Text

from loop.curve import Array
from loop.draw.page import Page
from loop.draw.style import DPI, SOFT
from loop.draw.words import clean

_PAD = 3.0  # pixels kept free around words
_RINGS = (5.0, 11.0, 19.0, 30.0, 44.0, 62.0, 84.0)  # points from the anchor
_LEADER_FROM = 18.0
# Directions: where the words stand as seen from their anchor, (x, y) of the box's near corner.
_WAYS = {
    "e": (1.0, 0.0),
    "ne": (0.7, 0.7),
    "n": (0.0, 1.0),
    "nw": (-0.7, 0.7),
    "w": (-1.0, 0.0),
    "sw": (-0.7, -0.7),
    "s": (0.0, -1.0),
    "se": (0.7, -0.7),
}


@dataclass(frozen=True)
class Box:
    """A rectangle on the page [pixels], y upward."""

    x0: float
    y0: float
    x1: float
    y1: float

    def overlaps(self, other: "Box", pad: float = 0.0) -> bool:
        """Whether the two share any area, or come nearer than `pad`."""
        return (
            self.x0 < other.x1 + pad
            and other.x0 < self.x1 + pad
            and self.y0 < other.y1 + pad
            and other.y0 < self.y1 + pad
        )

    def inside(self, other: "Box") -> bool:
        """Whether it lies wholly within `other`."""
        return (
            self.x0 >= other.x0
            and self.y0 >= other.y0
            and self.x1 <= other.x1
            and self.y1 <= other.y1
        )

    def holds(self, points: Array) -> int:
        """How many of the points, shape (n, 2), lie within it."""
        x, y = points[:, 0], points[:, 1]
        return int(np.count_nonzero((x > self.x0) & (x < self.x1) & (y > self.y0) & (y < self.y1)))


def text_boxes(figure: Any) -> list[tuple[str, Box]]:
    """Every visible text of a figure and the rectangle that it takes [pixels]."""
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    found = []
    for item in figure.findobj(Text):
        if item.get_visible() and item.get_text().strip():
            box = item.get_window_extent(renderer)
            found.append((item.get_text(), Box(box.x0, box.y0, box.x1, box.y1)))
    return found


def page_box(figure: Any) -> Box:
    """The whole page [pixels]."""
    return Box(0.0, 0.0, float(figure.bbox.width), float(figure.bbox.height))


class Labels:
    """Places words on a page one after another; those placed first have the first choice.

    Make it once every panel has its limits and ticks, since it takes their words as occupied.
    """

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taken = [box for _, box in text_boxes(page.figure)]
        self.drawn: list[Array] = []

    def avoid(self, ax: Any, x: Any, y: Any, wide: float = 0.0) -> None:
        """Counts a line of this width [pt] as something not to be written across, if possible."""
        points = ax.transData.transform(np.column_stack([x, y]).astype(float))
        points = points[np.isfinite(points).all(axis=1)]
        if len(points) < 2:
            return
        steps = np.hypot(*np.diff(points, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(steps)])
        at = np.arange(0.0, along[-1] + 4.0, 4.0)
        line = np.column_stack([np.interp(at, along, points[:, i]) for i in (0, 1)])
        self.drawn.append(line)
        if wide:
            self.drawn += [line + side * wide / 2 * DPI / 72 for side in (-1.0, 1.0)]

    def occupy(self, ax: Any, x: float, y: float, half: tuple[float, float]) -> None:
        """Counts a sign around a data point, of this half width and height [pt], as occupied."""
        across, up = ax.transData.transform((x, y))
        wide, high = (size * DPI / 72 for size in half)
        self.taken.append(Box(across - wide, up - high, across + wide, up + high))

    def put(
        self, ax: Any, text: str, anchors: Any, ways: str = "ne e se n s nw w sw", **look: Any
    ) -> Text | None:
        """Writes `text` near the best of the anchors, (x, y) data points in order of preference.

        `ways` lists the directions to try, best first. Gives None, and writes nothing, where the
        words fit nowhere inside the panel without covering others.
        """
        lines = "\n".join(clean(line) for line in text.split("\n"))
        item = self.page.figure.text(0, 0, lines, **{"size": 8.5, "linespacing": 1.25, **look})
        size = item.get_window_extent(self.page.renderer)
        drawn = np.concatenate(self.drawn) if self.drawn else np.empty((0, 2))
        best: tuple[float, Box, Array, float] | None = None
        for cheap, box, at, distance in self._candidates(ax, anchors, ways.split(), size):
            if best is not None and cheap >= best[0]:
                break  # sorted by what is known without looking at lines
            cost = cheap + 3.0 * box.holds(drawn) + 40.0 * self._crossed(at, box)
            if best is None or cost < best[0]:
                best = (cost, box, at, distance)
        if best is None:
            item.remove()
            return None
        _, box, at, distance = best
        self._write(item, box)
        if distance >= _LEADER_FROM:
            self._leader(at, box, look.get("color", SOFT))
        return item

    def _candidates(
        self, ax: Any, anchors: Any, ways: list[str], size: Any
    ) -> list[tuple[float, Box, Array, float]]:
        """Places free of words inside the panel, cheapest first: cost, box, anchor, distance."""
        panel = ax.get_window_extent()
        found = []
        for rank, anchor in enumerate(np.atleast_2d(anchors)):
            at = ax.transData.transform(anchor)
            for distance in _RINGS:
                for order, way in enumerate(ways):
                    box = _box_at(at, way, distance * DPI / 72, size.width, size.height)
                    cost = 0.25 * distance + 0.8 * order + 0.6 * rank
                    found.append((cost, box, at, distance))
        corners = np.array([(b.x0, b.y0, b.x1, b.y1) for _, b, _, _ in found])
        room = np.array([panel.x0 + 1, panel.y0 + 1, panel.x1 + 1, panel.y1 + 12])
        free = np.all(corners[:, :2] >= room[:2], axis=1) & np.all(
            corners[:, 2:] <= room[2:], axis=1
        )
        taken = np.array([(b.x0, b.y0, b.x1, b.y1) for b in self.taken])
        low = np.maximum(corners[:, None, :2], taken[None, :, :2] - _PAD)
        high = np.minimum(corners[:, None, 2:], taken[None, :, 2:] + _PAD)
        free &= ~np.any(np.all(low < high, axis=2), axis=1)
        return sorted((c for c, keep in zip(found, free, strict=True) if keep), key=lambda c: c[0])

    def _crossed(self, at: Array, box: Box) -> int:
        """How many words a line from the anchor to the box would run through."""
        end = _near_point(at, box)
        points = at + np.linspace(0.0, 1.0, 25)[:, None] * (end - at)
        taken = np.array([(b.x0, b.y0, b.x1, b.y1) for b in self.taken])
        inside = np.all(points[:, None] > taken[None, :, :2], axis=2) & np.all(
            points[:, None] < taken[None, :, 2:], axis=2
        )
        return int(np.count_nonzero(inside.any(axis=0)))

    def _write(self, item: Text, box: Box) -> None:
        x, y = self.page.figure.transFigure.inverted().transform((box.x0, box.y0))
        item.set_position((float(x), float(y)))
        item.set_verticalalignment("bottom")
        self.taken.append(box)

    def _leader(self, at: Array, box: Box, color: str) -> None:
        end = _near_point(at, box)
        ends = self.page.figure.transFigure.inverted().transform(
            [at + 0.12 * (end - at), at + 0.94 * (end - at)]
        )
        self.page.figure.add_artist(
            Line2D(
                ends[:, 0], ends[:, 1], color=color, linewidth=0.6,
                transform=self.page.figure.transFigure,
            )
        )  # fmt: skip


def _box_at(at: Array, way: str, distance: float, width: float, height: float) -> Box:
    dx, dy = _WAYS[way]
    x = at[0] + dx * distance - (width if dx < 0 else width / 2 if dx == 0 else 0.0)
    y = at[1] + dy * distance - (height if dy < 0 else height / 2 if dy == 0 else 0.0)
    return Box(x, y, x + width, y + height)


def _near_point(at: Array, box: Box) -> Array:
    return np.array([np.clip(at[0], box.x0, box.x1), np.clip(at[1], box.y0, box.y1)])
