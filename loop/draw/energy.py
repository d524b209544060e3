"""What the source gives in all against the pump's flow: the compressors' share and the pump's."""

from typing import Any

import numpy as np

from loop.draw.labels import Labels
from loop.draw.page import Page, frame
from loop.draw.scene import Scene
from loop.draw.style import AMBER, INK, PAPER, RUST, SOFT, TEAL
from loop.job import JobError
from loop.margins.energy import DrawCurve, Energy, StageDraw, draw_curve, energy


def draw_energy(scene: Scene) -> Any:
    """The figure ``energy``; raises JobError where no unit states what it draws, or all trip."""
    found = energy(scene.point)
    if found is None:
        raise JobError(
            [
                f"{scene.job.title}: the figure energy needs what a unit draws, as "
                'electrical = "620 W at 100 degF" in its [[condenser]]'
            ]
        )
    curve = draw_curve(scene.point)
    if not np.isfinite(curve.total).any():
        raise JobError([f"{scene.job.title}: every unit trips, whatever the pump"])
    page = Page(
        _headline(scene, found),
        scene.subtitle("total draw against flow, units at full stage"),
        _caption(scene, found),
        body=4.2,
    )
    ax = page.panel(0.75, 0.5, 6.85, 3.4)
    flow, total = scene.scaled(curve.flow, "flow"), curve.total
    shown = np.isfinite(total) & (total <= 1.6 * np.nanmin(total))
    flow, total, units = flow[shown], total[shown], curve.units[shown]
    frame(ax, (float(flow[0]), float(flow[-1])), (0.0, 1.06 * float(total.max())),
          (f"flow of the pump, {scene.unit('flow')}", "draw, W"))  # fmt: skip
    ax.fill_between(flow, 0, units, color=AMBER, alpha=0.22, linewidth=0)
    ax.fill_between(flow, units, total, color=TEAL, alpha=0.28, linewidth=0)
    ax.plot(flow, units, color=AMBER, linewidth=1.4)
    ax.plot(flow, total, color=INK, linewidth=2.4)
    _write(scene, page, ax, curve, found)
    return page.figure


def _headline(scene: Scene, found: Energy) -> str:
    full = found.stages[0]
    now = f"{full.power:,.0f} W in all at full stage"
    if np.isfinite(full.hours):
        now += f", {full.hours:.1f} hours on the battery"
    if not np.isfinite(full.power):
        return "As it is a unit trips; with more water it runs"
    saved = full.power - found.best_power
    if saved < 0.01 * full.power:
        return f"{now}: no other flow saves 1 % of it"
    return f"{now}; at {scene.say(found.best_flow, 'flow')} it would be {saved:,.0f} W less"


def _caption(scene: Scene, found: Energy) -> str:
    words = (
        "A weak pump costs twice: the compressors' draw rises with the condensing temperature. "
        "Pumps of this quality, smaller and larger, on this loop. Compressor by constant "
        "second-law efficiency, an engineering estimate."
    )
    if scene.job.supply is not None:
        words += " All as the batteries give it, through the inverter what runs on AC."
    if found.pump_estimated:
        words += " The pump's power is an estimate: its file states none."
    if found.left_out:
        words += f" Not in it: {', '.join(found.left_out)}, of which no draw is stated."
    return words


def _write(scene: Scene, page: Page, ax: Any, curve: DrawCurve, found: Energy) -> None:
    full: StageDraw = found.stages[0]
    flows = scene.scaled(curve.flow, "flow")
    inside = np.isfinite(curve.total) & (curve.total <= ax.get_ylim()[1])
    labels = Labels(page)
    for line in (curve.units, curve.total):
        labels.avoid(ax, flows[inside], line[inside])
    marks = [(found.best_flow, found.best_power, "least draw", TEAL)]
    if np.isfinite(full.power):
        marks.insert(0, (scene.point.flow, full.power, "as it is", RUST))
    for flow, power, words, color in marks:
        spot = (scene.value(flow, "flow"), power)
        ax.plot(*spot, "o", color=color, markersize=9, markeredgecolor=PAPER, zorder=5)
        labels.put(ax, f"{words}:\n{scene.say(flow, 'flow')}, {power:,.0f} W", [spot],
                   "n ne nw s se sw", color=color, weight="bold")  # fmt: skip
    middle = np.flatnonzero(inside)[len(np.flatnonzero(inside)) // 6 :: 6]
    labels.put(ax, "the units, at the source", [(flows[i], curve.units[i] / 2) for i in middle],
               "e n s w", color=SOFT)  # fmt: skip
    between = [(flows[i], (curve.units[i] + curve.total[i]) / 2) for i in middle[::-1]]
    labels.put(ax, "the pump", between, "n e w s", color=TEAL)
