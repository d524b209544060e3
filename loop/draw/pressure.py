"""Water pressure drawn inside the hose: by shade, and a few values beside it."""

from typing import Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.colors import to_rgb

from loop.curve import Array
from loop.draw.labels import Labels
from loop.draw.scene import Scene
from loop.draw.style import AMBER, RUST, TEAL
from loop.draw.way import Way
from loop.hydraulics.gauge_pressure import DRAWS_AIR_BELOW, states_along_path
from loop.parts import Condenser, Hose
from loop.units import decimals

# Water at atmospheric pressure: lighter than any line, darker than the sea behind it.
_LIGHT = "#B9DADD"
# Label directions at the pump: suction pressure before it, discharge pressure after it.
_BEFORE, _BEHIND = "nw n w sw s", "se s ne n e"
# Segments per hose stretch, so that the shade changes along it.
_PIECES = 12


def draw_water(scene: Scene, ax: Any, way: Way) -> None:
    """Draws the water in a path, shaded by pressure; draw anything on top of it later."""
    x, heights = way.x, scene.scaled(way.heights, "height")
    pressure = pressures(scene, way)
    most = max(float(np.max(pressure)), 1.0)
    ends, colors = [], []
    for start in range(len(x) - 1):
        share, middle = _pieces(scene, way, start, pressure[start], pressure[start + 1])
        along = x[start] + share * (x[start + 1] - x[start])
        up = heights[start] + share * (heights[start + 1] - heights[start])
        for one, other, a, b in zip(along, up, along[1:], up[1:], strict=False):
            ends.append([(one, other), (a, b)])
        colors += [_shade(float(p), most) for p in middle]
    water = LineCollection(ends, colors=colors, linewidths=3.8, capstyle="round", zorder=4)
    water.set_label("water")
    ax.add_collection(water, autolim=False)


def _pieces(scene: Scene, way: Way, start: int, before: float, after: float) -> tuple[Array, Array]:
    """Shares at which a stretch is cut, and the pressure [Pa] of each piece.

    A hose is also cut where the pressure crosses zero gauge. A part without length is split at its
    sign: inlet pressure before it, outlet pressure after it.
    """
    part = way.line.points[start].part
    if not isinstance(scene.network.parts[part], Hose):
        return np.array([0.0, 0.5, 1.0]), np.array([before, after])
    share = np.linspace(0.0, 1.0, _PIECES + 1)
    if (before < DRAWS_AIR_BELOW) != (after < DRAWS_AIR_BELOW):
        share = np.sort(np.append(share, (DRAWS_AIR_BELOW - before) / (after - before)))
    inside = before + share * (after - before)
    return share, (inside[1:] + inside[:-1]) / 2


def _shade(pressure: float, most: float) -> tuple[float, float, float]:
    """Amber below atmospheric pressure, else light to deep green up to the highest pressure."""
    if pressure < DRAWS_AIR_BELOW:
        return to_rgb(AMBER)
    light, deep = np.array(to_rgb(_LIGHT)), np.array(to_rgb(TEAL))
    mixed = light + min(max(pressure / most, 0.0), 1.0) * (deep - light)
    return float(mixed[0]), float(mixed[1]), float(mixed[2])


def pressures(scene: Scene, way: Way) -> Array:
    """Gauge pressure [Pa] at every corner of a path as drawn, starting at the sea."""
    along = [here.gauge_pressure for here in states_along_path(scene.point, way.line)]
    found = np.array([along[0], *along])
    return np.where(np.isfinite(found), found, 0.0)


def write_pressures(scene: Scene, ax: Any, labels: Labels, way: Way) -> None:
    """Labels the pressure on both sides of the pump, at each unit, and where it is lowest."""
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
    ways = {pump: _BEHIND, pump - 1: _BEFORE}
    said = set()
    for corner in asked:
        words = _gauge(scene, float(pressure[corner]))
        if (words, round(float(way.x[corner]), 2)) in said:
            continue
        said.add((words, round(float(way.x[corner]), 2)))
        spot = (float(way.x[corner]), scene.value(float(way.heights[corner]), "height"))
        if way.shows(spot[0]):
            color = RUST if pressure[corner] < DRAWS_AIR_BELOW else TEAL
            around = ways.get(corner, "n s ne nw se sw e w")
            labels.put(ax, words, [spot], around, clear=True, color=color, size=8)


def _gauge(scene: Scene, pressure: float) -> str:
    """A pressure as text; one below atmospheric gets enough digits not to read as zero."""
    usual = decimals("pressure", scene.system)
    tries = [scene.say(pressure, "pressure", usual + more) for more in range(3)]
    if pressure >= DRAWS_AIR_BELOW:
        return tries[0]
    return next((words for words in tries if any(c in "123456789" for c in words)), tries[-1])
