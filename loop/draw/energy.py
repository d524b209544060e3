"""Total draw on the supply against the pump's flow: compressors' share and pump's share."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from loop.draw.bores import Sized
from loop.draw.labels import Labels
from loop.draw.page import Page, frame
from loop.draw.scene import Scene
from loop.draw.style import AMBER, INK, PAPER, RUST, SOFT, TEAL
from loop.job import JobError
from loop.margins.energy import DrawCurve, Energy, draw_curve, energy
from loop.records import dataclass
from loop.words.check_report import SAY as CHECK
from loop.words.figures import SAY

# Up to this many marks are labeled in place.
_FEW = 2


@dataclass(frozen=True)
class Mark:
    """A point to mark: its label, the pump's flow [m³/s] and the total draw there [W]."""

    words: str
    flow: float
    power: float
    color: str


def draw_energy(scene: Scene, sized: Sized | None = None) -> Any:
    """The figure ``energy``, with the options of a sizing marked if one is given.

    Raises JobError if no unit states its draw, or if all units trip.
    """
    found = energy(scene.point)
    if found is None:
        raise JobError([SAY("energy-none", job=scene.job.title)])
    curve = draw_curve(scene.point)
    if not np.isfinite(curve.total).any():
        raise JobError([SAY("energy-trips", job=scene.job.title)])
    page = Page(
        _headline(scene, found),
        scene.subtitle(SAY("energy" if sized is None else "energy-worst")),
        scene.caption(_caption(scene, found, sized is not None)),
        body=4.2,
    )
    ax = page.panel(0.75, 0.5, 6.85, 3.4)
    marks = _of_point(scene, found) if sized is None else _of_options(sized, found)
    others = [] if sized is None else _others(sized, marks)
    _curve(scene, ax, curve, [*marks, *others])
    _write(scene, page, ax, curve, marks, others)
    return page.figure


def _of_point(scene: Scene, found: Energy) -> list[Mark]:
    """The loop as it is, and the point of least draw."""
    full = found.stages[0]
    marks = [Mark(SAY("energy-least"), found.best_flow, found.best_power, TEAL)]
    if np.isfinite(full.power):
        marks.insert(0, Mark(SAY("energy-as-is"), scene.point.flow, full.power, RUST))
    return marks


def _of_options(sized: Sized, found: Energy) -> list[Mark]:
    """The choice, the runner-up, the passing option with least draw, and the loop as it stands."""
    as_is = next((i for i, option in enumerate(sized.options) if option.as_is), None)
    told = (
        ("energy-choice", sized.choice, RUST),
        ("energy-stands", as_is, SOFT),
        ("energy-least-passes", sized.least_draw, TEAL),
        ("energy-runner-up", sized.runner_up, INK),
    )
    names: dict[int, list[str]] = {}
    colors: dict[int, str] = {}
    for row, position, color in told:
        if position is not None:
            names.setdefault(position, []).append(SAY(row))
            colors.setdefault(position, color)
    marks = []
    for position, called in names.items():
        option = sized.options[position]
        power = option.energy.stages[0].power if option.energy else np.nan
        if np.isfinite(power):
            said = SAY("energy-option", names=", ".join(called), pump=option.choice.pump.name)
            marks.append(Mark(said, option.flow, power, colors[position]))
    return marks or [Mark(SAY("energy-least"), found.best_flow, found.best_power, TEAL)]


def _others(sized: Sized, marks: Sequence[Mark]) -> list[Mark]:
    """The other options that pass."""
    told = {(mark.flow, mark.power) for mark in marks}
    passing = [option for option in sized.options if option.passes and option.energy]
    spots = {(option.flow, option.energy.stages[0].power) for option in passing} - told
    return [Mark("", flow, power, SOFT) for flow, power in sorted(spots) if np.isfinite(power)]


def _curve(scene: Scene, ax: Any, curve: DrawCurve, marks: Sequence[Mark]) -> None:
    """Draws the total and its shares, with limits that include every mark and zero draw."""
    flow, total = scene.scaled(curve.flow, "flow"), curve.total
    most = max(1.6 * float(np.nanmin(total)), *(1.02 * mark.power for mark in marks))
    shown = np.isfinite(total) & (total <= most)
    flow, total, units = flow[shown], total[shown], curve.units[shown]
    across = [float(flow[0]), float(flow[-1]), *(scene.value(m.flow, "flow") for m in marks)]
    top = max(float(total.max()), *(mark.power for mark in marks))
    frame(ax, (min(across), max(across)), (0.0, 1.06 * top),
          (SAY("energy-axis", unit=scene.unit("flow")), SAY("energy-axis-draw")))  # fmt: skip
    ax.fill_between(flow, 0, units, color=AMBER, alpha=0.22, linewidth=0)
    ax.fill_between(flow, units, total, color=TEAL, alpha=0.28, linewidth=0)
    ax.plot(flow, units, color=AMBER, linewidth=1.4)
    ax.plot(flow, total, color=INK, linewidth=2.4)


def _headline(scene: Scene, found: Energy) -> str:
    full = found.stages[0]
    now = SAY("energy-now", power=f"{full.power:,.0f}", hours=full.hours)
    if not np.isfinite(full.power):
        return SAY("energy-unit-trips")
    saved = full.power - found.best_power
    if saved < 0.01 * full.power:
        return SAY("energy-best", now=now)
    flow = scene.say(found.best_flow, "flow")
    return SAY("energy-less", now=now, flow=flow, power=f"{saved:,.0f}")


def _caption(scene: Scene, found: Energy, sized: bool) -> str:
    said = [SAY("energy-caption")]
    said += [SAY("energy-sized")] * sized
    said += [SAY("energy-supply")] * (scene.job.supply is not None)
    said += [CHECK("power-estimated")] * found.pump_estimated
    if found.left_out:
        said.append(CHECK("draw-left-out", units=", ".join(found.left_out)))
    return " ".join(said)


def _name(scene: Scene, ax: Any, labels: Labels, marks: Sequence[Mark], listed: bool) -> None:
    """Labels each mark: beside it, or in a list above the curve if there are many."""
    left, right = ax.get_xlim()
    top = ax.get_ylim()[1]
    for row, mark in enumerate(marks):
        way = "energy-mark-listed" if listed else "energy-mark"
        flow, power = scene.say(mark.flow, "flow"), f"{mark.power:,.0f}"
        said = SAY(way, name=mark.words, flow=flow, power=power)
        spot = (scene.value(mark.flow, "flow"), mark.power)
        sides = "n ne nw s se sw"
        if listed:
            spot, sides = (left + 0.21 * (right - left), top * (0.97 - 0.065 * row)), "e"
            ax.plot(spot[0] - 0.008 * (right - left), spot[1], "o", color=mark.color, markersize=7)
        labels.put(ax, said, [spot], sides, color=mark.color, weight="bold")


def _write(
    scene: Scene,
    page: Page,
    ax: Any,
    curve: DrawCurve,
    marks: Sequence[Mark],
    others: Sequence[Mark],
) -> None:
    flows = scene.scaled(curve.flow, "flow")
    inside = np.isfinite(curve.total) & (curve.total <= ax.get_ylim()[1])
    labels = Labels(page)
    for line in (curve.units, curve.total):
        labels.avoid(ax, flows[inside], line[inside])
    for mark in others:
        ax.plot(scene.value(mark.flow, "flow"), mark.power, "o", color=mark.color, markersize=5,
                markerfacecolor=PAPER, zorder=4)  # fmt: skip
    for mark in marks:
        spot = (scene.value(mark.flow, "flow"), mark.power)
        ax.plot(*spot, "o", color=mark.color, markersize=9, markeredgecolor=PAPER, zorder=5)
    _name(scene, ax, labels, marks, len(marks) > _FEW or bool(others))
    middle = np.flatnonzero(inside)[len(np.flatnonzero(inside)) // 6 :: 6]
    labels.put(ax, SAY("energy-units"), [(flows[i], curve.units[i] / 2) for i in middle],
               "e n s w", color=SOFT)  # fmt: skip
    between = [(flows[i], (curve.units[i] + curve.total[i]) / 2) for i in middle[::-1]]
    labels.put(ax, SAY("energy-pump"), between, "n e w s", color=TEAL)
