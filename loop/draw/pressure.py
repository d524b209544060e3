"""The water's pressure, shown in the hose itself: by shade, and by a few numbers beside it."""

from typing import Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.colors import to_rgb

from loop.curve import Array
from loop.draw.labels import Labels
from loop.draw.scene import Scene
from loop.draw.style import AMBER, RUST, TEAL
from loop.draw.way import Way
from loop.hydraulics.gauge_pressure import along_way
from loop.parts import Condenser

# Water at the air's pressure: lighter than any line, darker than the sea behind it.
_LIGHT = "#B9DADD"
# Gauge pressure [Pa] under which a valve draws air in: rounding of heads apart.
_NEGATIVE = -1.0
# Pieces into which a stretch of hose is cut, so that the shade changes along it.
_PIECES = 12
# Stretches [across] that are parts without length.
_SHORT = 1e-9


def draw_water(scene: Scene, ax: Any, way: Way) -> None:
    """The water in a way, shaded by its pressure; what is over it is drawn later."""
    x, heights = way.x, scene.scaled(way.heights, "height")
    pressure = pressures(scene, way)
    most = max(float(np.max(pressure)), 1.0)
    ends, colors = [], []
    for start in range(len(x) - 1):
        share = np.linspace(0.0, 1.0, _PIECES + 1 if x[start + 1] - x[start] > _SHORT else 2)
        along = x[start] + share * (x[start + 1] - x[start])
        up = heights[start] + share * (heights[start + 1] - heights[start])
        inside = pressure[start] + share * (pressure[start + 1] - pressure[start])
        for one, other, a, b in zip(along, up, along[1:], up[1:], strict=False):
            ends.append([(one, other), (a, b)])
        colors += [_shade(float(p), most) for p in (inside[1:] + inside[:-1]) / 2]
    water = LineCollection(ends, colors=colors, linewidths=3.8, capstyle="round", zorder=4)
    water.set_label("water")
    ax.add_collection(water, autolim=False)


def _shade(pressure: float, most: float) -> tuple[float, float, float]:
    """Amber below the air's pressure, else from light to deep green up to the highest."""
    if pressure < _NEGATIVE:
        return to_rgb(AMBER)
    light, deep = np.array(to_rgb(_LIGHT)), np.array(to_rgb(TEAL))
    mixed = light + min(max(pressure / most, 0.0), 1.0) * (deep - light)
    return float(mixed[0]), float(mixed[1]), float(mixed[2])


def pressures(scene: Scene, way: Way) -> Array:
    """Gauge pressure [Pa] at every corner of a way as drawn, the sea's edge first."""
    along = [here.gauge_pressure for here in along_way(scene.point, way.line)]
    found = np.array([along[0], *along])
    return np.where(np.isfinite(found), found, 0.0)


def write_pressures(scene: Scene, ax: Any, labels: Labels, way: Way) -> None:
    """Numbers where they are asked for: at the pump, before each unit, and where it is lowest."""
    if scene.point.flow <= 0:
        return
    pressure, points = pressures(scene, way), way.line.points
    pump = way.line.pump + 1
    units = [
        corner
        for corner, point in enumerate(points)
        if isinstance(scene.network.parts[point.part], Condenser)
    ]
    asked = dict.fromkeys([pump, pump - 1, *units, int(np.argmin(pressure))])
    said = set()
    for corner in asked:
        words = scene.say(float(pressure[corner]), "pressure")
        if (words, round(float(way.x[corner]), 2)) in said:
            continue
        said.add((words, round(float(way.x[corner]), 2)))
        spot = (float(way.x[corner]), scene.value(float(way.heights[corner]), "height"))
        if way.shows(spot[0]):
            color = RUST if pressure[corner] < _NEGATIVE else TEAL
            labels.put(ax, words, [spot], "n s ne nw se sw e w", clear=True, color=color, size=8)
