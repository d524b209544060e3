"""Branches off the main path of the profile: one small panel each, side by side."""

from dataclasses import replace
from typing import Any

from loop.air.air_paths import AirPath
from loop.draw.air import pockets, write_rest, write_trouble
from loop.draw.labels import Labels
from loop.draw.page import MARGIN, Page, frame
from loop.draw.pipe import Pipe, sign_scale
from loop.draw.scene import Scene
from loop.draw.style import INK, SOFT
from loop.draw.way import lay_out
from loop.draw.words import NOTE, STRONG, TEXT
from loop.parts import Discharge
from loop.records import dataclass
from loop.words.figures import SAY

_MOST = 6
# Lengths [in]: panel height, text above it, gap between panels, line pitch of text.
_HIGH, _WORDS, _GAP, _LINE = 0.95, 0.42, 0.22, 0.16
# Most lines of a branch's name.
_NAMED = 2
_LEAST_WIDE, _MOST_WIDE = 1.25, 3.0


@dataclass(frozen=True)
class Other:
    """A branch off the main path: its name, its own parts, and its drawing."""

    name: str
    parts: tuple[int, ...]
    pipe: Pipe


class Others:
    """The branches off the path through `parts`, in panels within `width` [in] from `left` [in].

    If there are too many to draw, those with air come first, then those that need the most head
    to prime; the rest are named only.
    """

    def __init__(self, scene: Scene, parts: tuple[int, ...], left: float, width: float) -> None:
        self.scene, self.left = scene, left
        ways = list(zip(scene.network.paths(), scene.result.air, strict=True))
        fit = int((width + _GAP) / (_LEAST_WIDE + _GAP))
        self.a_row = max(min(len(ways) - 1, fit, 3), 1)
        self.across = min((width - (self.a_row - 1) * _GAP) / self.a_row, _MOST_WIDE)
        every = [
            self._other(name, way, air, own)
            for (name, way), air in ways
            if (own := tuple(index for index in way if index not in parts))
        ]
        held = {id(one): bool(pockets(scene, one.pipe.air)) for one in every}
        first = sorted(every, key=lambda one: (not held[id(one)], -one.pipe.air.start_head))
        self.drawn = [other for other in every if other in first[:_MOST]]
        self.named = [other for other in every if other not in self.drawn]
        one = len(self.drawn) == 1
        self.titles = [self._title(other) for other in self.drawn]
        self.words = _WORDS + _LINE * (max(map(len, self.titles), default=1) - 1)
        self.heading = TEXT.wrap(
            SAY("branches-one" if one else "branches"),
            left - MARGIN + width,
        )

    @property
    def height(self) -> float:
        """Height of all the panels [in]."""
        rows = -(-len(self.drawn) // self.a_row)
        return rows * (_HIGH + self.words) + _LINE * len(self.heading) + 0.2 if rows else 0.0

    @property
    def caption(self) -> str:
        """Names of the branches that are not drawn; "" if all are."""
        names = ", ".join(f"“{NOTE.shorten(other.name, 1.4)}”" for other in self.named)
        return SAY("branches-left", names=names) if names else ""

    def draw(self, page: Page) -> list[Any]:
        """Draws the panels upward from the bottom of the page's body and returns them."""
        if not self.drawn:
            return []
        top = self.height - 0.14
        for number, line in enumerate(self.heading):
            page.write(line, MARGIN, top - number * _LINE, TEXT, SOFT)
        limits = self._limits()
        panels = []
        for number, other in enumerate(self.drawn):
            row, column = divmod(number, self.a_row)
            x = self.left + column * (self.across + _GAP)
            over = top - 0.08 - _LINE * len(self.heading) - row * (_HIGH + self.words)
            lines = self.titles[number]
            for down, line in enumerate(lines):
                kind, color = (STRONG, INK) if down < len(lines) - 1 else (NOTE, SOFT)
                page.write(line, x, over - down * _LINE, kind, color)
            ax = page.panel(x, over - self.words + 0.06 - _HIGH + 0.04, self.across, _HIGH - 0.04)
            start, end = other.pipe.way.shown
            slack = 0.03 * (end - start)
            frame(ax, (start - slack, end + slack), limits, ("", ""))
            ax.xaxis.set_visible(False)
            ax.spines["bottom"].set_visible(False)
            ax.tick_params(labelleft=column == 0)
            other.pipe.draw(ax)
            panels.append(ax)
        return panels

    def write(self, panels: list[Any], labels: Labels) -> None:
        """Labels high points, low points and bleeds where there is room."""
        for ax, other in zip(panels, self.drawn, strict=True):
            pipe = other.pipe
            pipe.occupy(ax, labels)
            write_trouble(self.scene, pipe.air, ax, pipe.way, labels)
            write_rest(self.scene, pipe.air, ax, pipe.way, labels)

    def _other(self, name: str, way: tuple[int, ...], air: AirPath, own: tuple[int, ...]) -> Other:
        laid = lay_out(self.scene.point, way)
        held = [place for place in laid.places if place.index in own]
        laid = replace(laid, shown=(held[0].start, held[-1].end))
        return Other(name, own, Pipe(self.scene, laid, air, sign_scale(laid, self.across)))

    def _title(self, other: Other) -> list[str]:
        """The lines above a panel: its name on at most two, then its flow and where it ends."""
        name = STRONG.wrap(other.name, self.across)
        if len(name) > _NAMED:
            name[1:] = [STRONG.shorten(" ".join(name[1:]), self.across)]
        return [*name, NOTE.shorten(self._told(other), self.across)]

    def _limits(self) -> tuple[float, float]:
        """Limits of height for all panels, with room for labels, in the figure's unit."""
        values = [
            self.scene.value(height, "height")
            for other in self.drawn
            for x, height in zip(other.pipe.way.x, other.pipe.way.heights, strict=True)
            if other.pipe.way.shows(x)
        ]
        low, high = min(*values, 0.0), max(*values, 0.0)
        room = max(high - low, 1e-3)
        return low - 0.3 * room, high + 1.1 * room

    def _told(self, other: Other) -> str:
        """Its flow, and where it ends."""
        network, last = self.scene.network, other.parts[-1]
        # Parts past a joint are drawn only here, but also carry other branches' water.
        inmost = max(other.parts, key=lambda index: len(network.branches[index]))
        flow = self.scene.point.flow_through(inmost)
        moves = self.scene.say(abs(flow), "flow")
        if flow < 0:
            moves = SAY("branch-backwards", flow=moves)
        row = "branch-out" if isinstance(network.parts[last], Discharge) else "branch-joins"
        return SAY(row, flow=moves, height=self.scene.say(network.heights[last], "height"))
