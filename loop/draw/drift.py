"""Flow of a loop from visit to visit, and when it falls below the need."""

from datetime import date
from typing import Any

import numpy as np

from loop.curve import Array
from loop.diagnose.drift import Drift, drift
from loop.draw.labels import Labels
from loop.draw.page import Page, frame, span
from loop.draw.scene import say, scaled, with_guesses
from loop.draw.style import AMBER, INK, MIST, PAPER, RUST, SOFT, TEAL
from loop.draw.words import NOTE
from loop.job import Job, JobError
from loop.units import System, convert, label, unitless
from loop.words.figures import SAY

# Draw the trend ahead by at most this many times the span of the visits.
_AHEAD = 2.5
# Cut the fan above this many times the highest flow seen.
_MOST_SHOWN = 1.3
_MOST_NOTES = 12


def draw_drift(job: Job, system: System) -> Any:
    """The figure ``drift``; raises JobError if the job has no visits."""
    found = drift(job)
    if not found.visits:
        raise JobError([SAY("drift-none", job=job.title)])
    page = Page(
        _headline(found, system),
        SAY("drift", job=job.title),
        with_guesses(SAY("drift-caption"), job),
        body=4.0,
    )
    ax = page.panel(0.75, 0.5, 6.85, 3.2)
    days = np.array([_ordinal(visit.date) for visit in found.visits], dtype=float)
    x = _range(found, days)
    low, high = _levels(found, days, x)
    y = span(convert(low, "flow", system), convert(high, "flow", system), 0.15)
    frame(ax, x, (max(y[0], 0.0), y[1]), ("", SAY("axis-flow", unit=label("flow", system))))
    _dates(ax, x)
    _trend(ax, found, days, x, system)
    _visits(ax, found, days, system)
    labels = Labels(page)
    _write(ax, labels, found, days, system)
    return page.figure


def _ordinal(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def _headline(found: Drift, system: System) -> str:
    last = found.visits[-1]
    if last.flow < found.need:
        need = unitless(say(found.need, "flow", system), "flow", system)
        flow = say(last.flow, "flow", system)
        return SAY("drift-down", flow=flow, date=last.date, need=need)
    if np.isnan(found.slope):
        return SAY("drift-one-day", flow=say(last.flow, "flow", system))
    if found.crosses and found.slope < 0:
        early, late = (day[:7] or "?" for day in (found.crosses_low, found.crosses_high))
        band = SAY("drift-from" if late == "?" else "drift-band", early=early, late=late)
        return SAY("drift-below", date=found.crosses, band=band)
    if found.slope < 0:
        return SAY("drift-slow")
    return SAY("drift-steady")


def _range(found: Drift, days: Array) -> tuple[float, float]:
    """First and last day shown: the visits, and the band of the crossing date if not too far."""
    first, last = float(days[0]), float(days[-1])
    wide = max(last - first, 30.0)
    if found.crosses and found.slope < 0:
        latest = float(_ordinal(found.crosses_high or found.crosses))
        last = max(last, min(latest, last + _AHEAD * wide))
    wide = max(last - first, 30.0)
    return first - 0.06 * wide, last + 0.10 * wide


def _levels(found: Drift, days: Array, x: tuple[float, float]) -> tuple[float, float]:
    """Lowest and highest flow shown [m³/s]: need, visits and fan, within a useful range."""
    low = min(found.need, *(visit.flow_low for visit in found.visits))
    high = max(found.need, *(visit.flow_high for visit in found.visits))
    if np.isfinite(found.slope):
        middle, half = fan(found, days, np.linspace(x[0], x[1], 60))
        low = min(low, float(np.min(middle - half)))
        high = max(high, min(float(np.max(middle + half)), _MOST_SHOWN * high))
    return max(low, 0.0), high


def _dates(ax: Any, x: tuple[float, float]) -> None:
    """Ticks on the first of a month, at most seven of them."""
    months = [
        day for day in range(int(np.ceil(x[0])), int(x[1]) + 1) if date.fromordinal(day).day == 1
    ]
    step = next((s for s in (1, 2, 3, 4, 6, 12, 24, 60) if len(months) / s <= 7), 120)
    shown = [
        d
        for d in months
        if (12 * date.fromordinal(d).year + date.fromordinal(d).month - 1) % step == 0
    ]
    ax.set_xticks(shown, [date.fromordinal(day).isoformat()[:7] for day in shown])


def _trend(ax: Any, found: Drift, days: Array, x: tuple[float, float], system: System) -> None:
    """Draws the need, and the trend line with its fan."""
    ax.axhline(convert(found.need, "flow", system), color=TEAL, linewidth=1.6,
               linestyle=(0, (1.2, 1.4)))  # fmt: skip
    if np.isnan(found.slope):
        return
    at = np.linspace(x[0], x[1], 60)
    middle, half = fan(found, days, at)
    edges = [scaled(np.maximum(v, 0.0), "flow", system) for v in (middle - half, middle + half)]
    ax.fill_between(at, *edges, color=MIST, linewidth=0, zorder=0)
    line = scaled(np.maximum(middle, 0.0), "flow", system)
    ax.plot(at, line, color=INK, linewidth=1.6, linestyle=(0, (5, 1.6)))


def fan(found: Drift, days: Array, at: Array) -> tuple[Array, Array]:
    """Trend flow [m³/s] on the days `at`, and the half-width of its 90 % band.

    A weighted least-squares line passes through the weighted mean of its points, where level and
    slope are independent, so their spreads add in quadrature.
    """
    width = np.array([visit.flow_high - visit.flow for visit in found.visits])
    weight = np.maximum(width, 1e-3 * found.need) ** -2.0
    flow = np.array([visit.flow for visit in found.visits])
    since = at - np.average(days, weights=weight)
    level = np.average(flow, weights=weight)
    half = np.hypot(weight.sum() ** -0.5, (found.slope_high - found.slope) * since)
    return np.asarray(level + found.slope * since), np.asarray(half)


def _visits(ax: Any, found: Drift, days: Array, system: System) -> None:
    for day, visit in zip(days, found.visits, strict=True):
        low, flow, high = scaled(
            np.array([visit.flow_low, visit.flow, visit.flow_high]), "flow", system
        )
        short = visit.flow < found.need
        color = RUST if short else INK
        ax.plot([day, day], [low, high], color=color, linewidth=1.2, marker="_", markersize=7)
        ax.plot(day, flow, "D" if short else "o", color=color, markersize=7.5,
                markeredgecolor=PAPER, markeredgewidth=1.2, zorder=4)  # fmt: skip


def _write(ax: Any, labels: Labels, found: Drift, days: Array, system: System) -> None:
    left, right = ax.get_xlim()
    need = convert(found.need, "flow", system)
    for day, visit in zip(days, found.visits, strict=True):
        ends = scaled(np.array([visit.flow_low, visit.flow_high]), "flow", system)
        labels.avoid(ax, (day, day), ends, wide=8.0)
    labels.avoid(ax, (left, right), (need, need))
    spots = [(left + share * (right - left), need) for share in (0.02, 0.3, 0.6, 0.8)]
    labels.put(ax, SAY("needed", flow=say(found.need, "flow", system)), spots, "se ne", color=TEAL,
               weight="bold")  # fmt: skip
    if found.crosses and left < _ordinal(found.crosses) < right:
        spot = (float(_ordinal(found.crosses)), need)
        band = [
            float(_ordinal(day)) if day else edge
            for day, edge in ((found.crosses_low, left), (found.crosses_high, right))
        ]
        ax.plot(band, (need, need), color=AMBER, linewidth=4.0, solid_capstyle="butt", zorder=1)
        ax.plot(*spot, "v", color=AMBER, markersize=10, markeredgecolor=INK, zorder=5)
        labels.put(ax, found.crosses, [spot], "sw s se ne nw", weight="bold", color=RUST)
    for day, visit in list(zip(days, found.visits, strict=True))[-_MOST_NOTES:]:
        at = scaled(np.array([visit.flow, visit.flow_high, visit.flow_low]), "flow", system)
        words = say(visit.flow, "flow", system)
        labels.put(ax, words, [(day, at[1]), (day, at[0]), (day, at[2])], "n e w ne nw s",
                   size=8)  # fmt: skip
        if visit.note:
            labels.put(ax, NOTE.shorten(visit.note, 1.7), [(day, at[2])], "s se sw e w",
                       size=8, color=SOFT)  # fmt: skip
