"""The line as found, dashed behind the line as fixed: what was rerouted or remounted."""

from typing import Any

import numpy as np

from loop.curve import Array
from loop.draw.labels import Labels
from loop.draw.scene import Scene
from loop.draw.style import SOFT
from loop.draw.way import Way
from loop.hydraulics.line_profile import profile
from loop.parts import Hose
from loop.records import dataclass
from loop.words.figures import SAY

# Heights closer than this count as the same [m].
_SAME = 1e-3


@dataclass(frozen=True)
class Found:
    """Corners of what was moved: position across, and heights [m]; NaN between pieces.

    ``far`` is the corner that moved farthest, None if nothing moved.
    """

    x: Array
    heights: Array
    far: tuple[float, float] | None

    def draw(self, scene: Scene, ax: Any) -> None:
        """Draws it behind the line as fixed."""
        ax.plot(self.x, scene.scaled(self.heights, "height"), color=SOFT, linewidth=2.0,
                linestyle=(0, (3, 1.6)), zorder=2)  # fmt: skip

    def write(self, scene: Scene, ax: Any, labels: Labels) -> None:
        """Labels it."""
        if self.far is None:
            return
        labels.avoid(ax, self.x, scene.scaled(self.heights, "height"))
        spot = (self.far[0], scene.value(self.far[1], "height"))
        labels.put(ax, SAY("found"), [spot], "n ne nw e w s", color=SOFT, weight="bold")


def found(scene: Scene, name: str, way: Way) -> Found:
    """The hoses of a path that a change moved; empty if the number of hoses differs."""
    nothing = Found(np.empty(0), np.empty(0), None)
    if scene.before is None:
        return nothing
    network = scene.before.point.network
    parts = next((parts for branch, parts in network.paths() if branch == name), ())
    before = [index for index in parts if isinstance(network.parts[index], Hose)]
    now = [p for p in way.places if isinstance(scene.network.parts[p.index], Hose)]
    if not before or len(before) != len(now):
        return nothing
    line = profile(network, parts)
    x: list[float] = []
    heights: list[float] = []
    for index, place in zip(before, now, strict=True):
        corners = [i for i, point in enumerate(line.points) if point.part == index]
        hose = network.parts[index]
        assert isinstance(hose, Hose)
        shares = [0.0, *(line.points[i].along / hose.length for i in corners)]
        at = place.start + np.array(shares) * (place.end - place.start)
        high = np.array([line.points[i].height for i in (corners[0] - 1, *corners)])
        both = np.union1d(at, way.x[(way.x >= place.start) & (way.x <= place.end)])
        off = np.abs(np.interp(both, at, high) - np.interp(both, way.x, way.heights))
        moved = float(off.max()) > _SAME
        x += [*at] if moved else [np.nan]
        heights += [*high] if moved else [np.nan]
    across, high = np.array(x), np.array(heights)
    if np.isnan(high).all():
        return nothing
    far = int(np.nanargmax(np.abs(high - np.interp(across, way.x, way.heights))))
    return Found(across, high, (float(across[far]), float(high[far])))
