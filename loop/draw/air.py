"""Air on the profile of a loop: likely pockets, high and low points, bleeds."""

from itertools import pairwise
from typing import Any

import numpy as np

from loop.air.air_paths import AirPath
from loop.air.bleeds import ProposedBleed
from loop.air.high_points import HighPoint
from loop.draw.glyphs import BLEED, bleed
from loop.draw.labels import Labels
from loop.draw.scene import Scene
from loop.draw.style import DPI, INK, PAPER, RUST, SOFT, TEAL
from loop.draw.way import Way
from loop.hydraulics.gauge_pressure import states_along_path
from loop.hydraulics.leg_report import LegState
from loop.margins.suction import IntakeDepth
from loop.parts import Bleed, Hose
from loop.words.figures import SAY

# Name all high points, or all low points, only up to this many.
_MOST_NAMED = 8
# Name at most this many proposed bleeds; the rest are drawn without a label.
_MOST_BLEEDS = 16


def air_headline(scene: Scene, depth: IntakeDepth) -> str:
    """One sentence on the most serious air problem in the whole loop, all branches included."""
    paths = scene.result.air
    worst = max(paths, key=lambda path: path.start_head)
    if not worst.starts:
        return SAY(
            "air-not-primed",
            who=SAY("air-branch", branch=worst.branch) if worst.branch else SAY("air-loop"),
            head=scene.say(worst.start_head, "head"),
            shutoff=scene.number(worst.shutoff_head, "head"),
            bleeds=SAY("air-bleeds") if all(p.bleeds_suffice for p in paths) else None,
        )
    if any(path.suction.stops_pump for path in paths):
        return SAY("air-suction")
    if depth.short_by > 0:
        return SAY("air-shallow", depth=scene.say(depth.short_by, "height"))
    if scene.point.flow <= 0:
        return SAY("air-stands")
    held = _held_headline(scene)
    if held:
        return held
    if worst.start_head < 0.01 * worst.shutoff_head:
        return SAY("air-none-any" if len(paths) > 1 else "air-none")
    return SAY(
        "air-priming-any" if len(paths) > 1 else "air-priming",
        head=scene.say(worst.start_head, "head"),
        shutoff=scene.say(worst.shutoff_head, "head"),
    )


def _held_headline(scene: Scene) -> str:
    """Where air stays or may stay, on any path; "" if nowhere."""
    paths = scene.result.air
    humps = [path.high_points[hump.high_point] for path in paths for hump in path.suction.humps]
    if humps:
        return SAY("air-before-pump", height=scene.say(humps[0].height, "height"))
    for state, row in (("held", "air-stays"), ("may stay", "air-may-stay")):
        high_points = {
            (high_point.part, round(high_point.along, 6)): high_point
            for path in paths
            for high_point in path.high_points
            if high_point.state == state and not high_point.open_end
        }
        if high_points:
            first = next(iter(high_points.values()))
            where = SAY(
                "air-where" if len(high_points) == 1 else "air-where-first",
                count=len(high_points),
                height=scene.say(first.height, "height"),
                branch=scene.network.branches[first.part] or None,
            )
            return SAY(row, where=where)
    return _leg_headline(scene)


def _leg_headline(scene: Scene) -> str:
    """The outlet leg that loses the most head to air; "" if none loses 1 % of shut-off head."""
    least = 0.01 * scene.point.shutoff_head
    drained = (leg for leg in scene.point.legs if leg.state != "full" and leg.outlet)
    costly = [leg for leg in drained if leg.head_taken > least]
    if not costly:
        return ""
    leg = max(costly, key=lambda leg: leg.head_taken)
    row = "air-stays-leg" if leg.state == "air" else "air-may-stay-leg"
    row = "air-vented-leg" if leg.decides == "vent" else row
    return SAY(row, head=scene.say(leg.head_taken, "head"))


def pockets(scene: Scene, path: AirPath) -> list[tuple[float, float, bool]]:
    """Stretches (from, to) [m] where air would sit, and whether it is certain to stay there.

    Air is certain where a high point keeps it (`AirPath.keeps_air`) and where water falls as a film
    at start-up, and possible where the flow may not sweep it out. A vented high point holds none.
    """
    along = states_along_path(scene.point, path.profile)
    dry = [
        (before.distance, here.distance, True)
        for before, here in pairwise(along)
        if here.content != "water" and here.distance > before.distance
    ]
    found: list[tuple[float, float, bool]] = []
    for high_point in path.high_points:
        if path.keeps_air(high_point):
            found.append((*high_point.leg, True))
        elif high_point.state not in ("held", "vented") and not high_point.open_end:
            found += [(*stretch, False) for stretch in high_point.pockets]
    return [*found, *dry]


def bleeds(scene: Scene, path: AirPath, way: Way) -> list[tuple[float, float]]:
    """Bleed valves, fitted and proposed: position across, and height in the figure's unit."""
    fitted = [
        (place.middle, float(np.interp(place.middle, way.x, way.heights)))
        for place in way.places
        if isinstance(scene.network.parts[place.index], Bleed)
    ]
    places = [*fitted, *(_place(scene, way, proposed) for proposed in path.proposed)]
    return [(x, scene.value(height, "height")) for x, height in places if way.shows(x)]


def draw_air(scene: Scene, path: AirPath, ax: Any, way: Way) -> None:
    """Draws air pockets and proposed bleed valves; `Pipe` draws the fitted ones with its signs."""
    for start, end, sure in pockets(scene, path):
        x, heights = way.stretch(start, end)
        y = scene.scaled(heights, "height")
        if sure:
            ax.plot(x, y, color=RUST, linewidth=6.2, solid_capstyle="butt", zorder=4.2)
            ax.plot(x, y, color=PAPER, linewidth=3.8, solid_capstyle="butt", zorder=4.3)
        else:
            ax.plot(x, y, color=PAPER, linewidth=3.2, linestyle=(0, (0.05, 1.7)),
                    dash_capstyle="round", zorder=4.3)  # fmt: skip
    for proposed in path.proposed:
        at, height = _place(scene, way, proposed)
        if way.shows(at):
            bleed(ax, at, scene.value(height, "height"), RUST, fitted=False)


def write_trouble(scene: Scene, path: AirPath, ax: Any, way: Way, labels: Labels) -> None:
    """Labels what needs work: bleeds to fit, and high points that hold air or may."""
    _write_high_points(scene, path, ax, way, labels, trouble=True)
    for proposed in path.proposed[:_MOST_BLEEDS]:
        x, height = _place(scene, way, proposed)
        if not way.shows(x):
            continue
        high = proposed.reason == "high point"
        words = SAY("sign-bleed-here" if high else "sign-bleed-outlet")
        if proposed.draws_air:
            words += SAY("sign-open-filling" if proposed.height >= 0 else "sign-open-stopped")
        spot = _above(scene, ax, (x, height))
        look: dict[str, Any] = {"color": RUST, "weight": "bold"}
        tries = [
            (said, clear) for clear in (True, False) for said in (words, SAY("sign-bleed-brief"))
        ]
        for said, clear in (*tries, (SAY("sign-bleed"), False)):
            if labels.put(ax, said, [spot], "n ne nw e w se sw", clear=clear, **look):
                break


def write_rest(scene: Scene, path: AirPath, ax: Any, way: Way, labels: Labels) -> None:
    """Labels the high and low points that need no work."""
    _write_high_points(scene, path, ax, way, labels, trouble=False)
    for low_point in path.low_points if len(path.low_points) <= _MOST_NAMED else ():
        place, _ = way.stretch(low_point.distance, low_point.distance)
        spot = (float(place[0]), scene.value(low_point.height, "height"))
        if way.shows(spot[0]):
            words = SAY("sign-low-point", height=scene.say(low_point.height, "height"))
            labels.put(ax, words, [spot], "s se sw", clear=True, color=SOFT, size=8)


def _write_high_points(
    scene: Scene, path: AirPath, ax: Any, way: Way, labels: Labels, trouble: bool
) -> None:
    order = {"held": 0, "may stay": 1, "vented": 2, "swept": 3}
    high_points = sorted(
        path.high_points, key=lambda high_point: (order[high_point.state], -high_point.height)
    )
    for high_point in [c for c in high_points if _holds(scene, c, path.starts) == trouble][
        :_MOST_NAMED
    ]:
        x = _high_point_across(scene, way, high_point)
        if not way.shows(x):
            continue
        spot = (x, scene.value(high_point.height, "height"))
        if high_point.bleed is not None:
            spot = _above(scene, ax, (x, high_point.height))
        words, look = _high_point_words(scene, high_point, path.starts)
        labels.put(ax, words, [spot], "n ne nw e w se sw", clear=not trouble, **look)


def _holds(scene: Scene, high_point: HighPoint, starts: bool) -> bool:
    """Whether a high point holds air, or may, and so gets a warning label."""
    leg = _drained(scene, high_point)
    if leg is not None:
        return leg.decides != "vent"
    if high_point.open_end or high_point.state == "vented":
        return False
    return high_point.side == "suction" or not starts or high_point.state != "swept"


def _drained(scene: Scene, high_point: HighPoint) -> LegState | None:
    """The leg from a high point to an outlet that does not run full, if there is one."""
    here = scene.network.places[high_point.part]
    drained = (leg for leg in scene.point.legs if leg.outlet and leg.state != "full")
    return next((leg for leg in drained if leg.from_part == here), None)


def _above(scene: Scene, ax: Any, place: tuple[float, float]) -> tuple[float, float]:
    """Position of a bleed valve's handle, given its foot: position across and height [m]."""
    x, height = place
    up = ax.transData.transform((x, scene.value(height, "height")))[1] + 1.5 * BLEED[1] * DPI / 72
    return x, float(ax.transData.inverted().transform((0.0, up))[1])


def _high_point_words(
    scene: Scene, high_point: HighPoint, starts: bool
) -> tuple[str, dict[str, Any]]:
    at = SAY("sign-high-point", height=scene.say(high_point.height, "height"))
    leg, here = _drained(scene, high_point), scene.network.places[high_point.part]
    if leg is not None and leg.decides == "vent":
        return SAY("sign-vent", point=at), {"color": TEAL}
    if leg is not None:
        return SAY("sign-leg-air", point=at), {"color": RUST, "weight": "bold"}
    if high_point.state == "vented":
        return SAY("sign-vented", point=at), {"color": TEAL}
    if high_point.open_end:
        full = any(leg.from_part == here and leg.state == "full" for leg in scene.point.legs)
        row = "sign-open-full" if full else "sign-open-end"
        return SAY(row, point=at), {"color": INK, "size": 8}
    if high_point.side == "suction":
        air = SAY("sign-suction-air", point=at, drop=scene.say(high_point.drop, "height"))
        return air, {"color": RUST, "weight": "bold"}
    if not starts:
        return SAY("sign-locked", point=at), {"color": RUST, "weight": "bold"}
    if high_point.state == "held":
        return SAY("sign-held", point=at), {"color": RUST, "weight": "bold"}
    if high_point.state == "may stay":
        return SAY("sign-may-stay", point=at), {"color": RUST}
    return SAY("sign-swept", point=at), {"color": INK, "size": 8}


def _high_point_across(scene: Scene, way: Way, high_point: HighPoint) -> float:
    part = scene.network.parts[high_point.part]
    length = part.length if isinstance(part, Hose) else 0.0
    return way.across(high_point.part, high_point.along, length)


def _place(scene: Scene, way: Way, proposed: ProposedBleed) -> tuple[float, float]:
    part = scene.network.parts[proposed.part]
    length = part.length if isinstance(part, Hose) else 0.0
    return way.across(proposed.part, proposed.along, length), proposed.height
