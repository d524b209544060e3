"""Air on the drawing of a loop: pockets where they would sit, crests, sags and bleeds."""

from typing import Any

import numpy as np

from loop.draw.glyphs import bleed
from loop.draw.labels import Labels
from loop.draw.scene import Scene
from loop.draw.style import INK, PAPER, RUST, SOFT, TEAL
from loop.draw.way import Way
from loop.margins.air import AirPath, Crest, ProposedBleed
from loop.margins.suction import IntakeDepth
from loop.parts import Bleed, Hose

# More crests, or sags, than this are not all named.
_MOST_NAMED = 8


def air_headline(scene: Scene, depth: IntakeDepth) -> str:
    """The most serious thing about air on this way, in a sentence."""
    path = scene.air
    if not path.starts:
        cure = "; bleeds at its crests cure that" if path.bleeds_suffice else ""
        return (
            f"It cannot start: the air takes {scene.say(path.start_head, 'head')} to drive out, "
            f"the pump has {scene.number(path.shutoff_head, 'head')}{cure}"
        )
    if path.suction.stops_pump:
        return "A hump above the waterline before the pump stops it"
    if depth.short_by > 0:
        return f"The intake is {scene.say(depth.short_by, 'height')} too shallow at its worst"
    if scene.point.flow <= 0:
        return "Nothing flows, and air stays where it is"
    for state, words in (("held", "Air stays"), ("may stay", "Air may stay")):
        crests = [c for c in path.crests if c.state == state and not c.open_end]
        if crests:
            where = scene.say(crests[0].height, "height")
            count = "the crest" if len(crests) == 1 else f"{len(crests)} crests, the first"
            return f"{words} behind {count} at {where}"
    if path.start_head < 0.01 * path.shutoff_head:
        return "No air stays, and starting takes no head to speak of"
    start = f"starting takes {scene.number(path.start_head, 'head')}"
    return f"No air stays; {start} of the pump's {scene.say(path.shutoff_head, 'head')}"


def pockets(path: AirPath) -> list[tuple[float, float, bool]]:
    """Stretches (from, to) [m] where air would sit, and whether it surely stays there.

    Where the pump cannot start the loop, the falling leg behind every unvented crest holds air;
    otherwise what the running water does not sweep. A leg that ends in the open air traps none.
    """
    crests = [crest for crest in path.crests if crest.state != "vented" and not crest.open_end]
    if not path.starts:
        return [(*crest.leg, True) for crest in crests]
    return [(*stretch, crest.state == "held") for crest in crests for stretch in crest.pockets]


def bleeds(scene: Scene, way: Way) -> list[tuple[float, float]]:
    """Where bleed valves stand, fitted and proposed: across, and height in the figure's unit."""
    fitted = [
        (place.middle, float(np.interp(place.middle, way.x, way.heights)))
        for place in way.places
        if isinstance(scene.network.parts[place.index], Bleed)
    ]
    places = [*fitted, *(_place(scene, way, proposed) for proposed in scene.air.proposed)]
    return [(x, scene.value(height, "height")) for x, height in places]


def draw_air(scene: Scene, ax: Any, way: Way) -> None:
    """Pockets on the line, and the bleed valves proposed; fitted ones are signs of the line."""
    for start, end, sure in pockets(scene.air):
        x, heights = way.stretch(start, end)
        y = scene.scaled(heights, "height")
        if sure:
            ax.plot(x, y, color=RUST, linewidth=6.2, solid_capstyle="butt", zorder=4.2)
            ax.plot(x, y, color=PAPER, linewidth=3.8, solid_capstyle="butt", zorder=4.3)
        else:
            ax.plot(x, y, color=PAPER, linewidth=3.2, linestyle=(0, (0.05, 1.7)),
                    dash_capstyle="round", zorder=4.3)  # fmt: skip
    for proposed in scene.air.proposed:
        at, height = _place(scene, way, proposed)
        bleed(ax, at, scene.value(height, "height"), RUST, fitted=False)


def write_air(scene: Scene, ax: Any, way: Way, labels: Labels) -> None:
    """Names bleeds, crests and sags: first what must be done, last what merely is."""
    path = scene.air
    for proposed in path.proposed:
        x, height = _place(scene, way, proposed)
        words = "fit a bleed here" if proposed.reason == "crest" else "fit a bleed\nat the outlet"
        if proposed.draws_air:
            words += ",\nopen it with the pump stopped"
        labels.put(ax, words, [(x, scene.value(height, "height"))], "n ne nw e w",
                   color=RUST, weight="bold")  # fmt: skip
    order = {"held": 0, "may stay": 1, "vented": 2, "swept": 3}
    crests = sorted(path.crests, key=lambda crest: (order[crest.state], -crest.height))
    for crest in crests[:_MOST_NAMED]:
        x = _crest_across(scene, way, crest)
        words, look = _crest_words(scene, crest, path.starts)
        spot = (x, scene.value(crest.height, "height"))
        labels.put(ax, words, [spot], "n ne nw e w se sw", **look)
    for sag in path.sags if len(path.sags) <= _MOST_NAMED else ():
        place, _ = way.stretch(sag.distance, sag.distance)
        height = scene.value(sag.height, "height")
        labels.put(ax, f"sag {scene.say(sag.height, 'height')}", [(float(place[0]), height)],
                   "s se sw", color=SOFT, size=8)  # fmt: skip


def _crest_words(scene: Scene, crest: Crest, starts: bool) -> tuple[str, dict[str, Any]]:
    at = f"crest {scene.say(crest.height, 'height')}"
    if crest.state == "vented":
        return f"{at},\nhas its bleed", {"color": TEAL}
    if crest.open_end:
        return f"{at},\nopen at its end", {"color": INK, "size": 8}
    if crest.side == "suction":
        return f"{at}:\nholds air at the start", {"color": RUST, "weight": "bold"}
    if not starts:
        return f"{at}:\nair locks it", {"color": RUST, "weight": "bold"}
    if crest.state == "held":
        return f"{at}:\nair stays", {"color": RUST, "weight": "bold"}
    if crest.state == "may stay":
        return f"{at}:\nair may stay", {"color": RUST}
    return f"{at},\nswept clear", {"color": INK, "size": 8}


def _crest_across(scene: Scene, way: Way, crest: Crest) -> float:
    part = scene.network.parts[crest.part]
    length = part.length if isinstance(part, Hose) else 0.0
    return way.across(crest.part, crest.along, length)


def _place(scene: Scene, way: Way, proposed: ProposedBleed) -> tuple[float, float]:
    part = scene.network.parts[proposed.part]
    length = part.length if isinstance(part, Hose) else 0.0
    return way.across(proposed.part, proposed.along, length), proposed.height
