"""Effect of a blocking strainer on flow and condensing temperature, and when to clean it."""

import math
from typing import Any

import numpy as np

from loop.check.running_units import shortest_first
from loop.check.strainer_fouling import solved_when_blocked
from loop.curve import Array
from loop.draw.labels import Labels
from loop.draw.page import Page, frame
from loop.draw.scene import Scene
from loop.draw.style import AMBER, INK, PAPER, RUST, SOFT, TEAL
from loop.draw.words import STRONG
from loop.hydraulics import Flows
from loop.job import JobError, Unit
from loop.margins.heat import TRIPS, condensing_temperature, runs_on
from loop.margins.warming import condensing_in_loop, inlet_rises
from loop.parts import Strainer
from loop.records import dataclass
from loop.words.figures import SAY

_BLOCKED = np.linspace(0.0, 0.95, 96)
# The temperature axis extends this far above condensing at the needed flow [K].
_ROOM_ABOVE = 14.0


@dataclass(frozen=True)
class Fouled:
    """One unit against `blocked`: flow [m³/s], inlet and condensing temperature [°C]."""

    unit: Unit
    blocked: Array
    flow: Array
    inlet: Array
    condensing: Array
    clean_at: float
    clean_before: float


@dataclass(frozen=True)
class Begins:
    """The first share blocked at which a leg that ran full holds air, and that leg's hoses."""

    share: float
    hoses: tuple[str, ...]


def solved(scene: Scene) -> Flows:
    """The loop solved at every share blocked.

    Raises JobError if the loop has no strainer.
    """
    network, job = scene.network, scene.job
    if not any(isinstance(part, Strainer) for part in network.parts):
        raise JobError([SAY("fouling-none", job=job.title)])
    states = [point for point in (scene.result.point, scene.result.rest) if point is not None]
    return solved_when_blocked(min(states, key=lambda point: point.flow), _BLOCKED)


def air_begins(scene: Scene, found: Flows) -> Begins | None:
    """Where the first leg that runs full with a clean strainer starts to hold air, or None.

    The flow drops in a step there, because the leg no longer gives its fall back.
    """
    filled = ~found.air[0]
    first = np.flatnonzero((found.air & filled).any(axis=1) & (found.line_flow > 0).any(axis=1))
    if not len(first):
        return None
    at = int(first[0])
    sections = (scene.network.sections[k] for k in np.flatnonzero(found.air[at] & filled))
    hoses = (scene.name(piece.part) for section in sections for piece in section.pieces)
    return Begins(float(_BLOCKED[at]), tuple(dict.fromkeys(hoses)))


def fouled(scene: Scene, found: Flows) -> list[Fouled]:
    """The units, shortest of water first, with every strainer of the loop blocked alike."""
    network, job, flows = scene.network, scene.job, found.line_flow
    results = shortest_first(network, scene.result.condensers)
    sea = job.water.temperature
    inlets = sea + inlet_rises(network, flows, sea)
    units = []
    for result in results:
        unit = job.unit(result.name)
        flow = flows[:, network.unit_line(unit.name)]
        inlet = inlets[:, job.condenser.index(unit)]
        hot = condensing_in_loop(network, unit, flow, inlet)
        shown = np.maximum(flow, 0.0)
        clean = result.clean_at, result.clean_before
        units.append(Fouled(unit, _BLOCKED, shown, inlet, hot, *clean))
    return units


def draw_fouling(scene: Scene) -> Any:
    """The figure ``fouling``."""
    found = solved(scene)
    units, begins = fouled(scene, found), air_begins(scene, found)
    many = len(units) > 1
    air = None if begins is None else SAY(
        "fouling-air-caption", scene.system, share=begins.share, hoses=begins.hoses)  # fmt: skip
    page = Page(
        _headline(scene, units),
        scene.subtitle(SAY("fouling")),
        scene.caption(SAY("fouling-caption", air=air)),
        body=5.45,
    )
    flow = page.panel(0.75, 3.0, 6.85, 2.2)
    heat = page.panel(0.75, 0.5, 6.85, 2.0)
    _flow_frame(scene, flow, units, many)
    _heat_frame(scene, heat, units)
    first = _first_short(units)
    for ax in (flow, heat):
        if first is not None:
            ax.axvline(100 * first.clean_at, color=SOFT, linewidth=0.9)
            ax.axvspan(100 * first.clean_at, ax.get_xlim()[1], color=RUST, alpha=0.08, linewidth=0)
    _write(scene, page, (flow, heat), units, (first, begins))
    return page.figure


def _first_short(units: list[Fouled]) -> Fouled | None:
    """The first unit to fall to its need; None if none does, or if one is short when clean."""
    if any(u.flow[0] < u.unit.needed_flow for u in units):
        return None
    falling = [u for u in units if math.isfinite(u.clean_at)]
    return min(falling, key=lambda u: u.clean_at, default=None)


def _headline(scene: Scene, units: list[Fouled]) -> str:
    said = _said(scene, units)
    return said if scene.result.starts else SAY("once-primed", said=said)


def _said(scene: Scene, units: list[Fouled]) -> str:
    short = [u for u in units if u.flow[0] < u.unit.needed_flow]
    if not any(u.flow[0] > 0 for u in units):
        return SAY("fouling-no-flow")
    if short:
        return SAY("fouling-short", unit=short[0].unit.name)
    first = _first_short(units)
    if first is None:
        return SAY("fouling-never")
    hot = float(np.interp(first.clean_at, first.blocked, first.condensing))
    then = scene.say(min(hot, TRIPS), "temperature")
    said = then if runs_on(hot) else SAY("over", limit=then)
    return SAY("fouling-until", scene.system, share=first.clean_at, temperature=said)


def _shown_flow(scene: Scene, unit: Fouled, many: bool) -> Array:
    if many:
        return 100 * unit.flow / unit.unit.needed_flow
    return scene.scaled(unit.flow, "flow")


def _flow_frame(scene: Scene, ax: Any, units: list[Fouled], many: bool) -> None:
    need = 100.0 if many else scene.value(units[0].unit.needed_flow, "flow")
    lines = [_shown_flow(scene, unit, many) for unit in units]
    top = max(need, *(float(line.max()) for line in lines)) * 1.14
    words = SAY("axis-flow-share" if many else "axis-flow", unit=scene.unit("flow"))
    frame(ax, (0, 95), (0, top), ("", words))
    ax.tick_params(labelbottom=False)
    ax.axhline(need, color=TEAL, linewidth=1.6, linestyle=(0, (1.2, 1.4)))
    for number, line in enumerate(lines):
        ax.plot(100 * _BLOCKED, line, **_look(number))


def _heat_frame(scene: Scene, ax: Any, units: list[Fouled]) -> None:
    sea = scene.job.water.temperature
    water = scene.network.water
    at_need = [
        float(condensing_temperature(u.unit, u.unit.needed_flow, u.inlet[0], water)) for u in units
    ]
    limits = [
        limit
        for u in units
        for limit in (u.unit.condensing_watch, u.unit.condensing_stop)
        if limit is not None
    ]
    top = max(max(at_need) + _ROOM_ABOVE, *(limit + 3.0 for limit in limits), sea + 10.0)
    y = (scene.value(sea - 2.0, "temperature"), scene.value(top, "temperature"))
    frame(
        ax,
        (0, 95),
        y,
        (SAY("fouling-axis"), SAY("fouling-axis-condensing", unit=scene.unit("temperature"))),
    )
    ax.axhline(scene.value(sea, "temperature"), color=SOFT, linewidth=0.9)
    for number, unit in enumerate(units):
        hot = np.where(np.isfinite(unit.condensing), unit.condensing, 1e3)
        ax.plot(100 * _BLOCKED, scene.scaled(hot, "temperature"), clip_on=True, **_look(number))
    ax.set_ylim(*y)


def _look(number: int) -> dict[str, Any]:
    """Line style: the worst unit stands out, all others are drawn alike."""
    if number == 0:
        return {"color": INK, "linewidth": 2.4, "zorder": 3}
    return {"color": SOFT, "linewidth": 0.9, "zorder": 2}


def _write(
    scene: Scene,
    page: Page,
    axes: tuple[Any, Any],
    units: list[Fouled],
    points: tuple[Fouled | None, Begins | None],
) -> None:
    """Labels both panels, starting with when to clean."""
    flow_ax, heat_ax = axes
    first, begins = points
    many = len(scene.job.condenser) > 1
    labels = Labels(page)
    for ax in axes:
        for line in ax.get_lines():
            x, y = (np.asarray(v, dtype=float) for v in line.get_data())
            if line.get_transform() != ax.transData:  # level and upright rules span the panel
                x = np.where(x == 1.0, 95.0, x) if y[0] == y[-1] else x
                y = np.array(ax.get_ylim()) if x[0] == x[-1] else y
            labels.avoid(ax, x, np.clip(y, *ax.get_ylim()))
    need = 100.0 if many else scene.value(units[0].unit.needed_flow, "flow")
    if first is not None:
        spot = (100 * first.clean_at, need)
        flow_ax.plot(*spot, "o", color=RUST, markersize=9, markeredgecolor=PAPER)
        short, clean = first.clean_at, first.clean_before
        words = SAY("fouling-sign", scene.system, short=short, clean=clean)
        labels.put(flow_ax, words, [spot], "ne nw e se", color=RUST, weight="bold",
                   size=9.5)  # fmt: skip
    _now(scene, flow_ax, labels, units[0], many)
    if begins is not None:
        level = float(np.interp(begins.share, _BLOCKED, _shown_flow(scene, units[0], many)))
        labels.put(flow_ax, SAY("fouling-air"), [(100 * begins.share, level)], "sw w nw s",
                   lead=0.0, color=SOFT)  # fmt: skip
    needed = scene.say(units[0].unit.needed_flow, "flow")
    words = SAY("fouling-need" if many else "needed", flow=needed)
    labels.put(flow_ax, words, [(x, need) for x in (2, 10, 20, 35, 50)], "se ne s n",
               color=TEAL, weight="bold")  # fmt: skip
    sea = scene.job.water.temperature
    labels.put(heat_ax, SAY("fouling-sea", temperature=scene.say(sea, "temperature")),
               [(x, scene.value(sea, "temperature")) for x in (2, 60, 80)], "ne n se",
               color=SOFT)  # fmt: skip
    _limits(scene, labels, heat_ax, units)
    _names(scene, labels, axes, units, many)


def _now(scene: Scene, ax: Any, labels: Labels, worst: Fouled, many: bool) -> None:
    """Marks how far the strainer is blocked in the job, unless it is clean."""
    parts = scene.network.parts
    now = max(part.blocked for part in parts if isinstance(part, Strainer))
    if now == 0:
        return
    spot = (100 * now, float(np.interp(now, worst.blocked, _shown_flow(scene, worst, many))))
    ax.plot(*spot, "D", color=INK, markersize=7, markeredgecolor=PAPER, zorder=4)
    labels.put(
        ax, SAY("fouling-now", share=now), [spot], "sw ne nw se w e", color=INK, weight="bold"
    )


def _limits(scene: Scene, labels: Labels, ax: Any, units: list[Fouled]) -> None:
    """Draws the condensing limits set in the job, each labeled once."""
    kinds = (
        ("condensing_watch", "fouling-watch", AMBER),
        ("condensing_stop", "fouling-stop", RUST),
    )
    for field, word, color in kinds:
        limits = {getattr(u.unit, field) for u in units} - {None}
        for limit in sorted(limits):
            y = scene.value(limit, "temperature")
            ax.axhline(y, color=color, linewidth=1.3, linestyle=(0, (5, 1.6)))
            labels.put(ax, SAY(word, temperature=scene.say(limit, "temperature")),
                       [(x, y) for x in (2, 15, 30)], "ne se n",
                       color=RUST if color == RUST else SOFT)  # fmt: skip


def _names(
    scene: Scene, labels: Labels, axes: tuple[Any, Any], units: list[Fouled], many: bool
) -> None:
    """Labels the lines if there are several units: the worst unit by name, the rest as one."""
    if not many:
        return
    places = np.linspace(0.0, 0.9, 31)
    worst = STRONG.shorten(units[0].unit.name, 1.6)
    others = SAY("other-unit" if len(units) == 2 else "other-units", count=len(units) - 1)
    named: tuple[tuple[Fouled, str, dict[str, Any]], ...] = (
        (units[0], worst, {"color": INK, "weight": "bold"}),
        (units[-1], others, {"color": SOFT}),
    )
    for unit, words, look in named:
        flow = np.interp(places, unit.blocked, _shown_flow(scene, unit, many))
        labels.put(axes[0], words, np.column_stack([100 * places, flow]), "ne sw n s", **look)
        hot = scene.scaled(np.interp(places, unit.blocked, unit.condensing), "temperature")
        keep = np.isfinite(hot) & (hot < axes[1].get_ylim()[1])
        if keep.any():
            spots = np.column_stack([100 * places, hot])[keep]
            labels.put(axes[1], words, spots, "nw se n s", **look)
