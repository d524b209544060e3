"""Rectangles and straight lines on a page, and whether they overlap."""

from typing import Any

import numpy as np
from matplotlib.text import Text

from loop.curve import Array
from loop.records import dataclass


@dataclass(frozen=True)
class Box:
    """A rectangle on the page [pixels], y upward."""

    x0: float
    y0: float
    x1: float
    y1: float

    def holds(self, points: Array) -> int:
        """How many of the points, shape (n, 2), lie within it."""
        x, y = points[:, 0], points[:, 1]
        return int(np.count_nonzero((x > self.x0) & (x < self.x1) & (y > self.y0) & (y < self.y1)))

    def nearest(self, point: Array) -> Array:
        """The point of the box nearest to `point`, shape (2,)."""
        return np.array([np.clip(point[0], self.x0, self.x1), np.clip(point[1], self.y0, self.y1)])


def corners(boxes: list[Box]) -> Array:
    """The boxes as an array, shape (n, 4): x0, y0, x1, y1."""
    return np.array([(b.x0, b.y0, b.x1, b.y1) for b in boxes], dtype=float).reshape(-1, 4)


def passage(start: Array, end: Array, boxes: Array) -> tuple[Array, Array]:
    """Where a line segment enters and leaves each box of shape (n, 4), as shares of its length.

    It crosses a box if it enters before it leaves, enters before 1 and leaves after 0.
    """
    step = end - start
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = (boxes[:, :2] - start) / step, (boxes[:, 2:] - start) / step
    return np.minimum(one, other).max(axis=1), np.maximum(one, other).min(axis=1)


def struck(start: Array, end: Array, boxes: Array) -> Array:
    """Which boxes, shape (n, 4), a line segment runs through, shape (n,)."""
    enters, leaves = passage(start, end, boxes)
    return np.asarray((enters < leaves) & (enters < 1) & (leaves > 0))


def crossings(start: Array, end: Array, others: Array) -> int:
    """How many of the line segments, shape (n, 2, 2), cross the one from start to end."""

    def side(a: Array, b: Array, c: Array) -> Array:
        return np.asarray(
            (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1])
            - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
        )

    first, last = others[:, 0], others[:, 1]
    parted = side(start, end, first) * side(start, end, last) < 0
    met = side(first, last, start) * side(first, last, end) < 0
    return int(np.count_nonzero(parted & met))


def text_boxes(figure: Any) -> list[tuple[str, Box]]:
    """Every visible text of a figure, with its bounding box [pixels]."""
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    found = []
    for item in figure.findobj(Text):
        if item.get_visible() and item.get_text().strip():
            box = item.get_window_extent(renderer)
            found.append((item.get_text(), Box(box.x0, box.y0, box.x1, box.y1)))
    return found
