"""A flow path drawn as a pipe at its heights: its line, the air in it, its parts' signs."""

from typing import Any

import numpy as np

from loop.air.air_paths import AirPath
from loop.draw.air import bleeds, draw_air
from loop.draw.glyphs import BLEED, reach, sign
from loop.draw.labels import Labels
from loop.draw.pressure import draw_water
from loop.draw.scene import Scene
from loop.draw.style import DPI, INK, MIST, TEAL
from loop.draw.way import Way
from loop.records import dataclass

# Length along the line for a full-size sign [pt].
_SIGN_ROOM = 17.0
# With more parts than this on a path, elbows, tees and fittings get no sign.
_CROWDED = 60


@dataclass(frozen=True)
class Pipe:
    """A path, the air on it, and the scale of its signs."""

    scene: Scene
    way: Way
    air: AirPath
    signs: float

    def draw(self, ax: Any) -> None:
        """Draws the sea, the line, its air and its signs, on a panel whose limits are set."""
        way = self.way
        heights = self.scene.scaled(way.heights, "height")
        low, high = ax.get_ylim()
        if low < 0:
            ax.axhspan(low, min(0.0, high), color=MIST, alpha=0.6, linewidth=0, zorder=0)
        if low < 0 < high:
            ax.axhline(0.0, color=TEAL, linewidth=1.4, zorder=1)
        ax.plot(way.x, heights, color=INK, linewidth=6.2, solid_joinstyle="round", zorder=3,
                label="pipe")  # fmt: skip
        draw_water(self.scene, ax, way)
        draw_air(self.scene, self.air, ax, way)
        for kind, x, y in self._signs():
            sign(ax, kind, x, y, self.signs)

    def occupy(self, ax: Any, labels: Labels) -> None:
        """Reserves the line, its signs and the waterline against labels."""
        way = self.way
        labels.avoid(ax, way.x, self.scene.scaled(way.heights, "height"), wide=9.0)
        labels.avoid(ax, ax.get_xlim(), (0.0, 0.0))
        for kind, x, y in self._signs():
            if kind != "bleed":
                labels.occupy(ax, x, y, reach(kind, self.signs))
        for x, y in bleeds(self.scene, self.air, way):
            _, up = ax.transData.transform((x, y))
            middle = up + BLEED[1] * DPI / 72
            labels.occupy(ax, x, ax.transData.inverted().transform((0.0, middle))[1], BLEED)

    def _signs(self) -> list[tuple[str, float, float]]:
        """Kind, position across and height in the figure's unit of every part with a sign."""
        way = self.way
        heights = self.scene.scaled(way.heights, "height")
        kinds = [self.scene.network.parts[place.index].kind for place in way.places]
        return [
            (kind, place.middle, float(np.interp(place.middle, way.x, heights)))
            for kind, place in zip(kinds, way.places, strict=True)
            if way.shows(place.middle)
            and (len(way.places) <= _CROWDED or kind not in ("elbow", "tee", "fitting"))
        ]


def sign_scale(way: Way, width: float) -> float:
    """Scale at which adjacent signs hardly touch, on a panel `width` [in] wide."""
    shown = [place for place in way.places if way.shows(place.middle)]
    per_share = 72 * width / (way.shown[1] - way.shown[0])
    room = per_share * min(place.end - place.start for place in shown)
    return float(np.clip(room / _SIGN_ROOM, 0.5, 1.0))
