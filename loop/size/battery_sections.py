"""Draw of a sizing's options, and how many hours the batteries carry them."""

import math
from collections.abc import Iterator, Sequence

from loop.margins.energy import COMPARED, StageDraw
from loop.size.result import Option, SizeResult
from loop.size.section import Section
from loop.size.words import energy_words
from loop.units import System, show
from loop.words.check_report import SAY as CHECK
from loop.words.size_report import SAY


def battery(result: SizeResult) -> Iterator[Section]:
    """Draw and hours of the options that matter; nothing if no draw is stated."""
    shown = (result.choice, result.runner_up, result.least_draw, result.least_pump, result.as_is)
    options = [result.options[i] for i in dict.fromkeys(i for i in shown if i is not None)]
    if any(option.energy for option in options):
        yield _by_units_draw(result, options)
        yield _by_heat(result)
    stated = result.job.supply.draw if result.job.supply else ()
    yield from _by_stated_draw(options, stated, result.job.units)


def _by_units_draw(result: SizeResult, options: Sequence[Option]) -> Section:
    """By the units' own draw at their condensing temperatures."""
    hours, draws = SAY("head-hours"), [f"{SAY(name)}, W" for name in ("head-as-new", "head-worst")]
    head = ("", SAY("head-pump"), SAY("head-stage"), draws[0], hours, draws[1], hours)
    rows = []
    for option in options:
        if option.energy is None or option.energy_clean is None:
            continue
        rank = f"{option.rank}{'=' * option.as_is}"
        for new, worst in zip(option.energy_clean.stages, option.energy.stages, strict=True):
            numbers = (*_numbers(new), *_numbers(worst))
            rows.append((rank, option.choice.pump.name, new.stage, *numbers))
    left_out = next(option.energy.left_out for option in options if option.energy)
    note = CHECK("draw-left-out", units=", ".join(left_out)) if left_out else ""
    return Section("draw", SAY("draw-title"), energy_words(result), head, tuple(rows), note)


def _by_heat(result: SizeResult) -> Section:
    """The same loop at the condensing temperatures of a healthy unit and of unhealthy ones."""
    units = result.job.units
    head = (SAY("head-condensing"), f"{SAY('head-draw')}, W", SAY("head-hours"))
    rows = []
    for stage in result.condensing:
        at = show(stage.units[0].condensing_temperature, "temperature", units)
        rows.append((at, *_numbers(stage)))
    mild, hot, hotter = COMPARED
    note = SAY("draw-by-heat", units, mild=mild, hot=hot, hotter=hotter)
    return Section("heat", SAY("draw-by-heat-title"), head=head, rows=tuple(rows), note=note)


def _numbers(stage: StageDraw) -> tuple[str, str]:
    power, hours = stage.power, stage.hours
    return (
        f"{power:,.0f}" if math.isfinite(power) else SAY("trips"),
        f"{hours:.1f}" if math.isfinite(hours) else "—",
    )


def _by_stated_draw(
    options: Sequence[Option], stated: Sequence[float], units: System
) -> Iterator[Section]:
    """By the total draws that the job's ``[supply]`` states, one per stage."""
    by_pump = {option.choice.pump.name: option for option in reversed(options) if option.running}
    if not by_pump:
        return
    columns = ("head-pump", "head-stated", "head-draw", "head-share", "head-hours")
    rows = tuple(
        (
            option.choice.pump.name,
            show(draw, "current", units),
            show(stage.draw, "current", units),
            show(stage.pump_share, "ratio", units),
            f"{stage.hours:.1f}",
        )
        for option in reversed(by_pump.values())
        for draw, stage in zip(stated, option.running, strict=True)
    )
    yield Section("stated", SAY("stated-title"), head=tuple(map(SAY, columns)), rows=rows)
