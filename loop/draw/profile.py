"""The loop along its length: where air would sit, the intake's depth, the heads above it."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from loop.curve import Array
from loop.draw.air import air_headline, bleeds, draw_air, write_air
from loop.draw.glyphs import STEM, reach, sign
from loop.draw.labels import Labels
from loop.draw.page import WIDTH, Page, frame, over_axis, span
from loop.draw.scene import Scene
from loop.draw.strip import plan
from loop.draw.style import DPI, INK, MIST, RUST, SOFT, TEAL
from loop.draw.way import ACROSS, Way, head_lines, lay_out
from loop.margins.suction import IntakeDepth, intake_depth
from loop.parts import Pump

# The surface over the intake, across the page.
_SURFACE = (-0.012, 0.055)
# Room along the line that a sign of full size wants [pt].
_SIGN_ROOM = 17.0
# With more parts than this on a way, only those that matter have signs.
_CROWDED = 60
# Suction is named where it is more than this share of the panel's height.
_SEEN = 0.03
WATER = "#8FC3CC"  # in the hose: lighter than any line, darker than the sea behind it


_WHOLE = (
    "Hoses are drawn by length, other parts spread out a little. Above: total head and, just "
    "below it, the pressure line; where that runs under the loop's own height the water is "
    "below the air's pressure. Dashed by the intake: the sea's surface there at its worst; the "
    "bar: the depth that it needs."
)
_BRIEF = (
    "Pressure line under the loop's own height: water below the air's pressure. Dashed by the "
    "intake: the sea's surface at its worst; the bar: the depth needed."
)


@dataclass(frozen=True)
class Layout:
    """Lengths [in]: the page, the panels' left edge and width, their heights and the gap."""

    page: float
    left: float
    width: float
    heads: float
    loop: float
    gap: float
    caption: str


ALONE = Layout(WIDTH, 0.75, 6.85, 1.75, 2.75, 0.5, _WHOLE)
# For a page that the figure shares with text: lower, narrower, the words as large.
BESIDE = Layout(5.5, 0.7, 4.5, 1.0, 1.85, 0.42, _BRIEF)


def draw_profile(scene: Scene, layout: Layout = ALONE) -> Any:
    """The figure ``profile``: one way through the loop, from the sea to the sea."""
    name, parts = scene.path()
    way = lay_out(scene.point, parts)
    strip = plan(scene, way, layout.width, layout.page)
    depth = intake_depth(scene.job.intake, scene.job.boat, scene.point.flow)
    what = f"along the loop, branch “{name}”" if name else "along the loop, from sea to sea"
    page = Page(
        air_headline(scene, depth),
        scene.subtitle(what),
        layout.caption + (" Numbers: the parts in order." if strip.key else ""),
        body=0.3 + layout.heads + layout.gap + layout.loop + strip.height,
        width=layout.page,
    )
    above = strip.height + layout.loop + layout.gap
    heads = page.panel(layout.left, above, layout.width, layout.heads)
    loop = page.panel(layout.left, strip.height, layout.width, layout.loop)
    drawn = _heads(scene, heads, way)
    signs = _sign_scale(way, layout.width)
    _loop(scene, loop, way, depth, signs)
    strip.write(page, loop, layout.left, strip.height)
    labels = Labels(page)
    _write_heads(scene, heads, labels, way, drawn)
    _occupied(scene, loop, labels, way, depth, signs)
    _write_intake(scene, loop, labels, depth)
    write_air(scene, loop, way, labels)
    _write_levels(scene, loop, labels, way)
    return page.figure


def _heads(scene: Scene, ax: Any, way: Way) -> tuple[Array, Array, Array]:
    """Total head and pressure line over the loop's own height, all in units of head."""
    x, total, pressure = head_lines(scene.point, way)
    own = np.interp(x, way.x, way.heights)
    lines = [scene.scaled(values, "head") for values in (total, pressure, own)]
    low = min(float(v.min()) for v in lines)
    high = max(float(v.max()) for v in lines)
    frame(ax, ACROSS, span(low, high, 0.1), ("", ""))
    ax.xaxis.set_visible(False)
    ax.spines["bottom"].set_visible(False)
    over_axis(ax, f"head, {scene.unit('head')}")
    total, pressure, own = lines
    ax.fill_between(x, own, pressure, where=pressure >= own, color=MIST, linewidth=0,
                    interpolate=True)  # fmt: skip
    ax.fill_between(x, own, pressure, where=pressure <= own, facecolor="none", edgecolor=RUST,
                    hatch="/////", linewidth=0, interpolate=True)  # fmt: skip
    ax.plot(x, own, color=SOFT, linewidth=1.0)
    ax.plot(x, pressure, color=TEAL, linewidth=1.3, linestyle=(0, (5, 1.6)))
    ax.plot(x, total, color=INK, linewidth=1.8)
    return total, pressure, own


def _write_heads(
    scene: Scene, ax: Any, labels: Labels, way: Way, drawn: tuple[Array, Array, Array]
) -> None:
    x = np.concatenate([[0.0], *([place.start, place.end] for place in way.places)])
    total, pressure, own = drawn
    for line in drawn:
        labels.avoid(ax, x, line)
    pump = next(p for p in way.places if isinstance(scene.network.parts[p.index], Pump))
    top = float(np.interp(pump.end, x, total))
    labels.put(ax, f"the pump adds {scene.say(scene.point.pump_head, 'head')}",
               [(pump.end, top), (pump.start, top)], "ne e nw w n", weight="bold")  # fmt: skip
    spots = np.linspace(0.02, 0.98, 33)
    for line, words, ways, color in (
        (total, "total head", "ne n nw e se", INK),
        (pressure, "pressure line", "sw s se w e", TEAL),
        (own, "height of the loop", "s se sw n ne nw", SOFT),
    ):
        labels.put(ax, words, np.column_stack([spots, np.interp(spots, x, line)]), ways,
                   color=color)  # fmt: skip
    if np.max(own - pressure) > _SEEN * np.ptp(ax.get_ylim()):
        lowest = int(np.argmin(pressure - own))
        spot = (x[lowest], (pressure[lowest] + own[lowest]) / 2)
        labels.put(ax, "under suction", [spot], "se s sw ne n", color=RUST)


def _loop(scene: Scene, ax: Any, way: Way, depth: IntakeDepth, signs: float) -> None:
    """The line itself, its parts, the sea, and the water that the intake has and needs over it."""
    heights = scene.scaled(way.heights, "height")
    intake = scene.job.intake.height
    over = [scene.value(intake + d, "height") for d in (depth.needed, depth.worst)]
    low, high = min(*heights, *over, 0.0), max(*heights, *over, 0.0)
    room = high - low
    y = (low - 0.16 * room, high + 0.3 * room)
    frame(ax, ACROSS, y, ("", f"height above the waterline, {scene.unit('height')}"))
    ax.xaxis.set_visible(False)
    ax.axhspan(y[0], 0.0, color=MIST, alpha=0.6, linewidth=0, zorder=0)
    ax.axhline(0.0, color=TEAL, linewidth=1.4, zorder=1)
    ax.plot(way.x, heights, color=INK, linewidth=6.2, solid_joinstyle="round", zorder=3)
    ax.plot(way.x, heights, color=WATER, linewidth=3.8, solid_joinstyle="round", zorder=4)
    draw_air(scene, ax, way)
    for kind, x, at in _signs(scene, way):
        sign(ax, kind, x, at, signs)
    _needed_depth(scene, ax, depth)


def _signs(scene: Scene, way: Way) -> list[tuple[str, float, float]]:
    """Kind, place across and height in the figure's unit of every part that has a sign."""
    heights = scene.scaled(way.heights, "height")
    kinds = [scene.network.parts[place.index].kind for place in way.places]
    return [
        (kind, place.middle, float(np.interp(place.middle, way.x, heights)))
        for kind, place in zip(kinds, way.places, strict=True)
        if len(way.places) <= _CROWDED or kind not in ("elbow", "tee", "fitting")
    ]


def _sign_scale(way: Way, width: float) -> float:
    """Size of the signs, so that those of neighbours hardly touch."""
    room = 72 * width * min(place.end - place.start for place in way.places)
    return float(np.clip(room / _SIGN_ROOM, 0.5, 1.0))


def _occupied(
    scene: Scene, ax: Any, labels: Labels, way: Way, depth: IntakeDepth, signs: float
) -> None:
    """Tells the words on the loop's panel where the line, its signs and the levels are."""
    labels.avoid(ax, way.x, scene.scaled(way.heights, "height"), wide=9.0)
    labels.avoid(ax, ACROSS, (0.0, 0.0))
    surface = scene.value(scene.job.intake.height + depth.worst, "height")
    labels.avoid(ax, _SURFACE, (surface, surface), wide=3.0)
    for kind, x, y in _signs(scene, way):
        labels.occupy(ax, x, y, reach(kind, signs))
    for x, y in bleeds(scene, way):
        _, up = ax.transData.transform((x, y))
        top = ax.transData.inverted().transform((0.0, up + 1.4 * STEM * DPI / 72))[1]
        labels.avoid(ax, (x, x), (y, top), wide=8.0)


def _needed_depth(scene: Scene, ax: Any, depth: IntakeDepth) -> None:
    """Left of the intake: the water that it needs over it, and the surface at its worst."""
    bottom = scene.job.intake.height
    color = RUST if depth.short_by > 0 else TEAL
    needed = [scene.value(bottom + d, "height") for d in (0.0, depth.needed)]
    left = scene.value(bottom + depth.worst, "height")
    ax.plot([0.0, 0.0], needed, color=color, linewidth=4.5, solid_capstyle="butt", zorder=5)
    ax.plot(_SURFACE, [left, left], color=color, linewidth=1.6, linestyle=(0, (3, 1.2)),
            zorder=5)  # fmt: skip


def _write_intake(scene: Scene, ax: Any, labels: Labels, depth: IntakeDepth) -> None:
    color = RUST if depth.short_by > 0 else TEAL
    intake = scene.job.intake.height
    surface = scene.value(intake + depth.worst, "height")
    boat = scene.job.boat
    moved = any((boat.heel, boat.trim, boat.wave_height, boat.light_rise))
    has = f"has {scene.say(depth.worst, 'height')} {'at its worst' if moved else 'over it'}"
    if depth.worst < 0:
        has = f"comes {scene.say(-depth.worst, 'height')} out of it"
    labels.put(
        ax, f"needs {scene.say(depth.needed, 'height')} of water,\n{has}",
        [(0.058, surface), (0.0, surface), (0.02, scene.value(intake, "height"))],
        "e se ne s n", color=color,
    )  # fmt: skip


def _write_levels(scene: Scene, ax: Any, labels: Labels, way: Way) -> None:
    labels.put(ax, "waterline", [(x, 0.0) for x in (0.97, 0.8, 0.6, 0.4, 0.2)], "nw sw n s ne se",
               color=TEAL)  # fmt: skip
    end = float(scene.value(way.heights[-1], "height"))
    labels.put(ax, f"out at {scene.say(float(way.heights[-1]), 'height')}",
               [(float(way.x[-1]), end)], "nw sw n s w", color=INK)  # fmt: skip
