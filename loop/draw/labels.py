"""Label placement: clear of other text and, where possible, of the drawn lines."""

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.text import Text

from loop.curve import Array
from loop.draw.boxes import Box, corners, crossings, passage, struck, text_boxes
from loop.draw.page import Page
from loop.draw.style import DPI, SOFT
from loop.draw.words import clean
from loop.records import dataclass

_PAD = 3.0  # pixels kept free around words
_RINGS = (5.0, 11.0, 19.0, 30.0, 44.0, 62.0, 84.0, 110.0)  # points from the anchor
_LEADER_FROM = 18.0
_LEADER_STARTS = 4.0  # points from the anchor
# Directions from the anchor to the label, as (x, y).
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
# Labels straight above, below or beside their anchor may shift by these shares of their size.
_SHIFTS = (0.0, -0.12, 0.12, -0.25, 0.25, -0.45, 0.45)
# Costs of a position, in points of distance from the anchor: each 4 pixels of line covered, a
# line the leader crosses, a leader level enough to be read as a rule, an object in between.
_COVERS, _CROSSES, _LEVEL, _BETWEEN = 8.0, 9.0, 9.0, 40.0
# Pixels between sample points of a horizontal grid line; other lines are sampled every 4.
_RULE_STEP = 40.0


class Labels:
    """Places labels on a page one at a time; the first ones placed get first choice.

    Labels avoid other text, signs and leaders; leaders avoid text, signs and each other.
    Create it after every panel has its limits and ticks, since their text counts as occupied.
    """

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taken = [box for _, box in text_boxes(page.figure)]
        self._known = np.empty((0, 4))
        self._drawn: list[Array] = [np.empty((0, 2))]
        self._strokes: list[Array] = [np.empty((0, 2, 2))]
        self._leaders: list[Array] = [np.empty((0, 2, 2))]
        for ax in page.figure.axes:
            self._avoid_rules(ax)

    def _avoid_rules(self, ax: Any) -> None:
        """Counts a panel's grid lines too, at low weight, so that labels go beside one."""
        box = ax.get_window_extent()
        across = np.arange(box.x0, box.x1, _RULE_STEP)
        for tick in ax.yaxis.get_major_ticks():
            if tick.gridline.get_visible():
                up = ax.transData.transform((0.0, tick.get_loc()))[1]
                self._drawn.append(np.column_stack([across, np.full(len(across), up)]))

    def avoid(self, ax: Any, x: Any, y: Any, wide: float = 0.0) -> None:
        """Marks a line of this width [pt] as something to keep labels off where possible."""
        points = ax.transData.transform(np.column_stack([x, y]).astype(float))
        points = points[np.isfinite(points).all(axis=1)]
        if len(points) < 2:
            return
        self._strokes.append(np.stack([points[:-1], points[1:]], axis=1))
        for start, step in zip(points, np.diff(points, axis=0), strict=False):
            length = float(np.hypot(*step))
            if length == 0:
                self._drawn.append(start[None])
                continue
            line = start + np.arange(0.0, length + 4.0, 4.0)[:, None] * step / length
            aside = np.array([-step[1], step[0]]) / length * wide / 2 * DPI / 72
            self._drawn += [line + side * aside for side in ((-1, 0, 1) if wide else (0,))]

    def occupy(self, ax: Any, x: float, y: float, half: tuple[float, float]) -> None:
        """Marks a sign at a data point, of this half-width and half-height [pt], as occupied."""
        across, up = ax.transData.transform((x, y))
        wide, high = (size * DPI / 72 for size in half)
        self.taken.append(Box(across - wide, up - high, across + wide, up + high))

    def put(
        self,
        ax: Any,
        text: str,
        anchors: Any,
        ways: str = "ne e se n s nw w sw",
        lead: float = _LEADER_FROM,
        clear: bool = False,
        **look: Any,
    ) -> Text | None:
        """Writes `text` near the best of the anchors, (x, y) data points in order of preference.

        `ways` lists the directions to try, best first. A label `lead` [pt] or more from its anchor
        gets a leader. Returns None and writes nothing if the text fits nowhere in the panel without
        covering other text; with `clear`, also if it or its leader would touch a line.
        """
        lines = "\n".join(clean(line) for line in text.split("\n"))
        item = self.page.figure.text(0, 0, lines, **{"size": 8.5, "linespacing": 1.25, **look})
        size = item.get_window_extent(self.page.renderer)
        drawn, strokes = np.concatenate(self._drawn), np.concatenate(self._strokes)
        best: tuple[float, Box, Array | None] | None = None
        for cheap, box, at, distance in self._candidates(ax, anchors, ways.split(), size):
            if best is not None and cheap >= best[0]:
                break  # sorted by what is known without looking at lines
            leader = self._leader(at, box) if distance >= lead else None
            if leader is not None:
                more = self._leading(leader, strokes)
            else:
                more = _BETWEEN * self._between(at, box)
            covered = Box(box.x0 - 2, box.y0 - 2, box.x1 + 2, box.y1 + 2).holds(drawn)
            if clear and (covered or more):
                continue
            cost = cheap + _COVERS * covered + more
            if cost < (math.inf if best is None else best[0]):
                best = (cost, box, leader)
        if best is None:
            item.remove()
            return None
        _, box, leader = best
        self._write(item, box)
        if leader is not None:
            self._lead(leader, look.get("color", SOFT))
        return item

    def _candidates(
        self, ax: Any, anchors: Any, ways: list[str], size: Any
    ) -> Iterator[tuple[float, Box, Array, float]]:
        """Positions in the panel free of text, cheapest first: cost, box, anchor, distance."""
        panel = ax.get_window_extent()
        places = _places(tuple(ways))
        anchors = ax.transData.transform(np.atleast_2d(anchors))
        ranks = np.repeat(np.arange(len(anchors)), len(places.cost))
        cost = np.tile(places.cost, len(anchors)) + 0.3 * ranks
        wide = np.array([size.width, size.height])
        near = anchors[:, None, :] + places.corner(wide)
        edges = np.concatenate([near, near + wide], axis=2).reshape(-1, 4)
        room = np.array([panel.x0 + 1, panel.y0 + 1, panel.x1 + 1, panel.y1 + 12])
        free = np.all(edges[:, :2] >= room[:2], axis=1) & np.all(edges[:, 2:] <= room[2:], axis=1)
        taken = self._corners
        low = np.maximum(edges[:, None, :2], taken[None, :, :2] - _PAD)
        high = np.minimum(edges[:, None, 2:], taken[None, :, 2:] + _PAD)
        free &= ~np.any(np.all(low < high, axis=2), axis=1)
        padded = edges + np.array([-_PAD, -_PAD, _PAD, _PAD])
        for start, end in np.concatenate(self._leaders):
            free &= np.logical_not(struck(start, end, padded))
        kept = np.flatnonzero(free)
        for number in kept[np.argsort(cost[kept], kind="stable")]:
            distance = float(places.distance[number % len(places.cost)])
            yield (
                float(cost[number]),
                Box(*edges[number].tolist()),
                anchors[ranks[number]],
                distance,
            )

    @property
    def _corners(self) -> Array:
        """The occupied boxes as an array, shape (n, 4)."""
        if len(self._known) < len(self.taken):
            more = corners(self.taken[len(self._known) :])
            self._known = np.concatenate([self._known, more])
        return self._known

    def _leader(self, at: Array, box: Box) -> Array:
        """Ends of a leader, shape (2, 2): from the edge of the anchor's sign to the label."""
        end = at + 0.96 * (box.nearest(at) - at)
        length = max(float(np.hypot(*(end - at))), 1e-9)
        _, leaves = passage(at, end, self._around(at))
        share = max([_LEADER_STARTS * DPI / 72 / length, *(leaves + 1.5 / length)])
        return np.array([at + min(share, 1.0) * (end - at), end])

    def _around(self, at: Array) -> Array:
        """The boxes that contain a point."""
        taken = self._corners
        return taken[np.all((taken[:, :2] <= at) & (at <= taken[:, 2:]), axis=1)]

    def _leading(self, leader: Array, strokes: Array) -> float:
        """Cost of a leader; infinite if it runs through text, a sign or another leader."""
        start, end = leader
        leaders = np.concatenate(self._leaders)
        if struck(start, end, self._corners).any() or crossings(start, end, leaders):
            return math.inf
        across, up = np.abs(end - start)
        level = bool(across > 25 and up < 0.3 * across)
        return _CROSSES * crossings(start, end, strokes) + _LEVEL * level

    def _between(self, at: Array, box: Box) -> int:
        """How many labels or signs lie between an anchor and its label."""
        end = box.nearest(at)
        met = int(np.count_nonzero(struck(at, end, self._corners)))
        return max(met - len(self._around(at)), 0)

    def _write(self, item: Text, box: Box) -> None:
        x, y = self.page.figure.transFigure.inverted().transform((box.x0, box.y0))
        item.set_position((float(x), float(y)))
        item.set_verticalalignment("bottom")
        self.taken.append(box)

    def _lead(self, leader: Array, color: str) -> None:
        self._leaders.append(leader[None])
        ends = self.page.figure.transFigure.inverted().transform(leader)
        self.page.figure.add_artist(
            Line2D(
                ends[:, 0], ends[:, 1], color=color, linewidth=0.6, label="leader",
                transform=self.page.figure.transFigure,
            )
        )  # fmt: skip


@dataclass(frozen=True)
class _Places:
    """Candidate positions around an anchor, in order: distance [pt], offset and cost of each.

    ``across``, shape (n, 2): the step from the anchor [pixels]. ``share``, shape (n, 2): the share
    of the label's width and height that lies left of and below that point.
    """

    distance: Array
    across: Array
    share: Array
    cost: Array

    def corner(self, size: Array) -> Array:
        """Offset from the anchor to the lower left corner of a label of this size, shape (n, 2)."""
        return np.asarray(self.across - self.share * size)


@lru_cache(maxsize=16)
def _places(ways: tuple[str, ...]) -> _Places:
    rows = []
    for distance in _RINGS:
        for order, way in enumerate(ways):
            dx, dy = _WAYS[way]
            # A label straight above, below or beside its anchor may shift along it.
            for shift in _SHIFTS if dx == 0 or dy == 0 else (0.0,):
                left, down = (1.0 if d < 0 else 0.5 - shift if d == 0 else 0.0 for d in (dx, dy))
                step = distance * DPI / 72
                cost = 0.25 * distance + 0.8 * order + 2.0 * abs(shift)
                rows.append((distance, dx * step, dy * step, left, down, cost))
    table = np.array(rows)
    return _Places(table[:, 0], table[:, 1:3], table[:, 3:5], table[:, 5])
