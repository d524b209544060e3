"""Pump curve against system curve: the operating point, its uncertainty, and the need."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from loop.balancing.isolation import shut_parts
from loop.curve import Array
from loop.draw.labels import Labels
from loop.draw.lines import Curve, pump_curve, static_lift, strainer_factors, system_curve
from loop.draw.page import Page, frame
from loop.draw.scene import Scene
from loop.draw.spread import Spread, spread
from loop.draw.strips import Strips
from loop.draw.style import AMBER, INK, MIST, PAPER, RUST, SOFT, TEAL
from loop.draw.words import STRONG
from loop.hydraulics import Network
from loop.hydraulics.monte_carlo import pump_tolerances
from loop.parts import Strainer
from loop.tolerances import BARB, BORE, LOSS
from loop.units.shown import decimals
from loop.words.figures import SAY


def draw_curves(scene: Scene) -> Any:
    """The figure ``curves``."""
    draws = spread(scene)
    strips = Strips(scene, draws)
    along, up = pump_tolerances(scene.network.pump)
    caption = SAY(
        "curves-caption",
        scene.system,
        source=along.source,
        flow=along.half,
        head=up.half,
        count=f"{len(draws.flow):,}",
        loss=LOSS.half,
        bore=BORE.half,
        barb=BARB.half,
    )
    page = Page(
        _headline(scene),
        scene.subtitle(SAY("curves")),
        scene.caption(caption),
        body=4.4 + strips.height,
    )
    needed = scene.job.needed_flow
    most = _most_flow(scene, needed, draws)
    main = page.panel(0.75, strips.height + 0.65, 6.85, 3.5)
    high, lift = _most_head(scene.network), min(0.0, -scene.network.start_head)
    x = (0.0, scene.value(most, "flow"))
    names = (SAY("curves-flow", unit=scene.unit("flow")), SAY("axis-head", unit=scene.unit("head")))
    y = (scene.value(lift * 1.1, "head"), scene.value(high * 1.08, "head"))
    frame(main, x, y, names)
    labels = Labels(page)
    _words(scene, main, labels, needed)
    strips.draw(page)
    return page.figure


def _headline(scene: Scene) -> str:
    worst = scene.worst
    if scene.point.flow <= 0:
        if shut_parts(scene.network):
            return SAY("curves-shut")
        return SAY("curves-none", head=scene.say(scene.point.shutoff_head, "head"))
    said = SAY(
        "curves-band",
        low=scene.number(worst.flow_low, "flow"),
        high=scene.say(worst.flow_high, "flow"),
        needed=scene.number(worst.needed_flow, "flow"),
    )
    if len(scene.job.condenser) > 1:
        count = len(scene.job.condenser)
        row = "curves-shortest" if worst.flow < worst.needed_flow else "curves-nearest"
        said = SAY(row, count=count, unit=worst.name, band=said)
    path = scene.air
    stuck = not path.starts or path.suction.stops_pump
    return SAY("once-primed", said=said) if stuck else said


def _most_head(network: Network) -> float:
    up = pump_tolerances(network.pump)[1].half
    strongest = float(pump_curve(network, up=1 + up).head[0])
    return max(strongest, 1.5 * static_lift(network))


def _most_flow(scene: Scene, needed: float, draws: Spread) -> float:
    along = pump_tolerances(scene.network.pump)[0].half
    last = float(pump_curve(scene.network, along=1 + along).flow[-1])
    return max(last * 1.04, needed * 1.2, float(np.max(draws.flow)) * 1.08)


def _words(scene: Scene, main: Any, labels: Labels, needed: float) -> None:
    """Draws the curves, then labels them, most important first."""
    network = scene.network
    pump = _shown(scene, pump_curve(network))
    _tolerance(scene, main)
    loops = _loops(scene, 1.2 * _most_head(network))
    stands = loops[-1][0]
    _spent(scene, main, stands)
    main.plot(*pump, color=INK, linewidth=2.4)
    for curve, _, (color, dash) in loops:
        main.plot(*curve, color=color, linewidth=2.0, linestyle=dash)
    need_x = scene.value(needed, "flow")
    main.axvline(need_x, color=TEAL, linewidth=1.6, linestyle=(0, (1.2, 1.4)))
    spot = _operating_point(scene, main)
    for curve in (pump, *(curve for curve, _, _ in loops)):
        labels.avoid(main, *curve)
    top = main.get_ylim()[1]
    labels.avoid(main, [need_x, need_x], main.get_ylim(), wide=6.0)
    whose = "curves-need" if len(scene.job.condenser) == 1 else "curves-needs"
    labels.put(
        main, SAY(whose, flow=scene.say(needed, "flow")),
        [(need_x, top * share) for share in (0.98, 0.1, 0.6, 0.8)],
        "e w se sw", color=TEAL, weight="bold",
    )  # fmt: skip
    if spot is not None:
        ends = [scene.value(v, "flow") for v in (scene.point.flow_low, scene.point.flow_high)]
        labels.avoid(main, ends, [spot[1], spot[1]])
        flow, head = (scene.say(scene.point.flow, "flow"), scene.say(scene.point.pump_head, "head"))
        labels.put(
            main,
            SAY("curves-point", flow=flow, head=head),
            [spot], "ne nw e se sw w n s", weight="bold", size=9.5,
        )  # fmt: skip
    if len(scene.job.condenser) == 1:
        _left_over(scene, main, labels, needed, stands)
    name = network.pump.curve.name
    labels.put(main, STRONG.shorten(name, 2.4), _along(pump, (0.12, 0.2, 0.3, 0.05)),
               "ne n s sw", color=INK, weight="bold")  # fmt: skip
    for ways, (curve, words, (color, _)) in zip(("w nw", "e se"), loops[-2:], strict=False):
        room = _inside(main, curve)
        labels.put(main, words, _along(room, np.linspace(0.95, 0.25, 15)), ways,
                   color=SOFT if color == AMBER else color)  # fmt: skip


def _spent(scene: Scene, ax: Any, loop: tuple[Array, Array]) -> None:
    """Shades the head that the loop uses, up to the operating flow."""
    if scene.point.flow <= 0 or not len(loop[0]):
        return
    flow = scene.value(scene.point.flow, "flow")
    x = np.append(loop[0][loop[0] < flow], flow)
    ax.fill_between(x, np.interp(x, *loop), color=RUST, alpha=0.08, linewidth=0)


def _left_over(
    scene: Scene, ax: Any, labels: Labels, needed: float, loop: tuple[Array, Array]
) -> None:
    """Marks the head to spare at the needed flow of a single unit, or the head that is missing."""
    if scene.point.flow <= 0 or not len(loop[0]):
        return
    x, pump = scene.value(needed, "flow"), _shown(scene, pump_curve(scene.network))
    takes, gives = (float(np.interp(x, *one, right=np.nan)) for one in (loop, pump))
    if not np.isfinite([takes, gives]).all():
        return
    color = TEAL if gives >= takes else RUST
    ax.plot([x, x], [takes, gives], color=color, linewidth=5.0, solid_capstyle="butt")
    labels.avoid(ax, [x, x], [takes, gives], wide=8.0)
    places = decimals("head", scene.system)
    head = f"{abs(gives - takes):.{places}f} {scene.unit('head')}"
    said = SAY("curves-left", head=head) if gives >= takes else SAY("curves-missing", head=head)
    labels.put(
        ax, said, [(x, (takes + gives) / 2)],
        "w e nw sw", color=color, weight="bold",
    )  # fmt: skip


def _shown(scene: Scene, curve: Curve) -> tuple[Array, Array]:
    return scene.scaled(curve.flow, "flow"), scene.scaled(curve.head, "head")


def _tolerance(scene: Scene, ax: Any) -> None:
    along, up = (one.half for one in pump_tolerances(scene.network.pump))
    low = _shown(scene, pump_curve(scene.network, 1 - along, 1 - up))
    high = _shown(scene, pump_curve(scene.network, 1 + along, 1 + up))
    ax.fill(
        np.concatenate([low[0], high[0][::-1]]),
        np.concatenate([low[1], high[1][::-1]]),
        color=MIST,
        linewidth=0,
    )


def _loops(scene: Scene, top: float) -> list[tuple[tuple[Array, Array], str, tuple[str, Any]]]:
    """System curves: with the strainer as it is, and as dirty as the job's worst service."""
    network = scene.network
    stands = _shown(scene, system_curve(network, None, top))
    dirty = scene.job.sizing.service_blocked
    factors = strainer_factors(network, dirty)
    now = max((p.blocked for p in network.parts if isinstance(p, Strainer)), default=0.0)
    if factors is None or np.allclose(factors, 1.0):
        return [(stands, SAY("curves-loop"), (RUST, "-"))]
    other = _shown(scene, system_curve(network, factors, top))
    first = SAY("curves-loop-clean" if now == 0 else "curves-loop-blocked", share=now)
    return [
        (other, SAY("curves-blocked", share=dirty), (AMBER, (0, (5, 1.6)))),
        (stands, first, (RUST, "-")),
    ]


def _operating_point(scene: Scene, ax: Any) -> tuple[float, float] | None:
    point = scene.point
    if point.flow <= 0:
        return None
    x = scene.scaled(np.array([point.flow_low, point.flow, point.flow_high]), "flow")
    y = scene.value(point.pump_head, "head")
    ax.plot(x[[0, 2]], [y, y], color=INK, linewidth=1.0, marker="|", markersize=7)
    ax.plot(x[1], y, "o", color=INK, markersize=9, markeredgecolor=PAPER, markeredgewidth=1.6)
    return float(x[1]), y


def _along(curve: tuple[Array, Array], shares: Sequence[float] | Array) -> Array:
    """Points of a curve at the given shares of its length as drawn on the panel."""
    x, y = curve
    if not len(x):
        return np.zeros((1, 2))
    wide, high = max(float(np.ptp(x)), 1e-9), max(float(np.ptp(y)), 1e-9)
    at = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x) / wide, np.diff(y) / high))])
    at = at / max(float(at[-1]), 1e-9)
    return np.array([(np.interp(s, at, x), np.interp(s, at, y)) for s in shares])


def _inside(ax: Any, curve: tuple[Array, Array]) -> tuple[Array, Array]:
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    keep = (curve[1] >= low) & (curve[1] <= high) & (curve[0] >= left) & (curve[0] <= right)
    return curve[0][keep], curve[1][keep]
