"""The loop along its length: where air would sit, the intake's depth, the pressure."""

from typing import Any

import numpy as np

from loop.curve import Array
from loop.draw.air import air_headline, write_rest, write_trouble
from loop.draw.branches import Others
from loop.draw.labels import Labels
from loop.draw.page import WIDTH, Page, frame
from loop.draw.pipe import Pipe, sign_scale
from loop.draw.pressure import write_pressures
from loop.draw.scene import Scene
from loop.draw.strip import plan
from loop.draw.style import DPI, INK, RUST, SOFT, TEAL
from loop.draw.way import ACROSS, Way, lay_out
from loop.hydraulics.line_profile import profile
from loop.margins.suction import IntakeDepth, intake_depth
from loop.parts import Hose
from loop.records import dataclass
from loop.words.figures import SAY

# Where the water surface above the intake is drawn, across the page.
_SURFACE = (-0.012, 0.055)
# Room for labels: below the loop [in], and above it as a share of its panel.
_UNDER, _OVER = 0.47, 0.22
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


@dataclass(frozen=True)
class Layout:
    """Lengths [in]: page width; left edge, width and height of the panel. And the caption."""

    page: float
    left: float
    width: float
    loop: float
    caption: str


ALONE = Layout(WIDTH, 0.75, 6.85, 3.6, SAY("profile-whole"))
# For a page shared with text: lower and narrower, with type of the same size.
BESIDE = Layout(5.5, 0.7, 4.5, 2.7, SAY("profile-brief"))


def draw_profile(scene: Scene, layout: Layout = ALONE) -> Any:
    """The figure ``profile``: one path from sea to sea, and the branches off it."""
    name, parts = scene.path()
    way = lay_out(scene.point, parts)
    strip = plan(scene, way, layout.width, layout.page)
    depth = intake_depth(scene.job.intake, scene.job.boat, scene.point.flow)
    others = Others(scene, parts, layout.left, layout.width)
    what = SAY("profile-branch", branch=name) if name else SAY("profile")
    shown = f"{layout.caption}{others.caption}{strip.caption}"
    page = Page(
        air_headline(scene, depth),
        scene.subtitle(what),
        shown if layout is BESIDE else scene.caption(shown),
        body=0.3 + layout.loop + strip.height + others.height,
        width=layout.page,
    )
    under = strip.height + others.height
    loop = page.panel(layout.left, under, layout.width, layout.loop)
    pipe = Pipe(scene, way, scene.air, sign_scale(way, layout.width))
    before = found(scene, name, way)
    _loop(scene, loop, pipe, depth, before)
    strip.write(page, loop, layout.left, under)
    panels = others.draw(page)
    labels = Labels(page)
    _write_loop(scene, loop, labels, pipe, depth, before)
    others.write(panels, labels)
    return page.figure


def _loop(scene: Scene, ax: Any, pipe: Pipe, depth: IntakeDepth, before: Found) -> None:
    """Draws the line, its parts, the sea, and the depth that the intake has and needs."""
    heights = scene.scaled(np.append(pipe.way.heights, before.heights), "height")
    heights = heights[np.isfinite(heights)]
    intake = scene.job.intake.height
    over = [scene.value(intake + d, "height") for d in (depth.needed, depth.worst)]
    low, high = min(*heights, *over, 0.0), max(*heights, *over, 0.0)
    size = ax.get_window_extent().height / DPI
    inch = (high - low) / (size - _UNDER - _OVER * size)
    y = (low - _UNDER * inch, high + _OVER * size * inch)
    frame(ax, ACROSS, y, ("", SAY("axis-height", unit=scene.unit("height"))))
    ax.xaxis.set_visible(False)
    before.draw(scene, ax)
    pipe.draw(ax)
    _needed_depth(scene, ax, depth)


def _write_loop(
    scene: Scene, ax: Any, labels: Labels, pipe: Pipe, depth: IntakeDepth, before: Found
) -> None:
    """Labels the loop's panel: first what needs work, last what is only information."""
    pipe.occupy(ax, labels)
    intake = scene.job.intake.height
    bottom, needed, worst = (
        scene.value(intake + d, "height") for d in (0.0, depth.needed, depth.worst)
    )
    labels.avoid(ax, _SURFACE, (worst, worst), wide=3.0)
    labels.avoid(ax, (0.0, 0.0), (bottom, needed), wide=4.5)
    if depth.short_by > 0:
        _write_intake(scene, ax, labels, pipe.way, depth)
    write_trouble(scene, pipe.air, ax, pipe.way, labels)
    before.write(scene, ax, labels)
    if depth.short_by <= 0:
        _write_intake(scene, ax, labels, pipe.way, depth)
    write_pressures(scene, ax, labels, pipe.way)
    _write_levels(scene, ax, labels, pipe.way)
    write_rest(scene, pipe.air, ax, pipe.way, labels)


def _needed_depth(scene: Scene, ax: Any, depth: IntakeDepth) -> None:
    """At the intake: the depth that it needs, and the surface at its worst."""
    bottom = scene.job.intake.height
    color = RUST if depth.short_by > 0 else TEAL
    needed = [scene.value(bottom + d, "height") for d in (0.0, depth.needed)]
    left = scene.value(bottom + depth.worst, "height")
    ax.plot([0.0, 0.0], needed, color=color, linewidth=4.5, solid_capstyle="butt", zorder=5)
    ax.plot(_SURFACE, [left, left], color=color, linewidth=1.6, linestyle=(0, (3, 1.2)),
            zorder=5)  # fmt: skip


def _write_intake(scene: Scene, ax: Any, labels: Labels, way: Way, depth: IntakeDepth) -> None:
    color = RUST if depth.short_by > 0 else TEAL
    intake = scene.job.intake.height
    surface = scene.value(intake + depth.worst, "height")
    boat = scene.job.boat
    moved = any((boat.heel, boat.trim, boat.wave_height, boat.light_rise))
    row = "intake-bare" if depth.worst < 0 else "intake-has-worst" if moved else "intake-has"
    has = SAY(row, depth=scene.say(abs(depth.worst), "height"))
    labels.put(
        ax, SAY("intake-needs", needed=scene.say(depth.needed, "height"), has=has),
        [(_SURFACE[1], surface), (sum(_SURFACE) / 2, surface),
         (way.places[0].middle, scene.value(intake, "height"))],
        "ne e se n s", color=color,
    )  # fmt: skip


def _write_levels(scene: Scene, ax: Any, labels: Labels, way: Way) -> None:
    spots = [(x, 0.0) for x in (0.97, 0.8, 0.6, 0.4, 0.2)]
    labels.put(ax, SAY("waterline"), spots, "nw sw n s ne se", color=TEAL)
    height = float(way.heights[-1])
    labels.put(ax, SAY("out-at", height=scene.say(height, "height")),
               [(way.places[-1].middle, scene.value(height, "height"))], "n s nw sw w",
               color=INK)  # fmt: skip
