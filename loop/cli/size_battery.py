"""What the options of a sizing draw, and for how many hours the batteries carry them."""

import math

from rich.console import Group, RenderableType
from rich.text import Text

from loop.cli.output import bullets, headed
from loop.margins.energy import COMPARED, StageDraw
from loop.size import Option, SizeResult
from loop.size.words import energy_words
from loop.units import System, show
from loop.words.size_report import SAY


def battery(result: SizeResult) -> RenderableType | None:
    """Draw and hours of the options that matter; None where nothing is stated of them."""
    asked = (result.choice, result.runner_up, result.least_draw, result.least_pump, result.as_is)
    options = [result.options[i] for i in dict.fromkeys(i for i in asked if i is not None)]
    stated = _stated(options, result.job.units)
    if any(option.energy for option in options):
        return Group(*_calculated(result, options), *stated)
    return Group(*stated) if stated else None


def _calculated(result: SizeResult, options: list[Option]) -> list[RenderableType]:
    """By the units' own draw, as their condensing temperatures have it."""
    units = result.job.units
    hours, drawn = SAY("head-hours"), [f"{SAY(name)}\nW" for name in ("head-as-new", "head-worst")]
    table = headed("", SAY("head-pump"), SAY("head-stage"), drawn[0], hours, drawn[1], hours)
    for option in options:
        if option.energy is None or option.energy_clean is None:
            continue
        rank = f"{option.rank}{'=' * option.as_is}"
        for new, worst in zip(option.energy_clean.stages, option.energy.stages, strict=True):
            numbers = (*_numbers(new), *_numbers(worst))
            table.add_row(rank, option.choice.pump.name, new.stage, *numbers)
    compared = headed(SAY("head-condensing"), f"{SAY('head-draw')}\nW", hours)
    for stage in result.condensing:
        at = show(stage.units[0].condensing_temperature, "temperature", units)
        compared.add_row(at, *_numbers(stage))
    mild, hot, hotter = COMPARED
    return [
        Text(SAY("draw-title"), "bold"),
        table,
        bullets(energy_words(result)),
        Text(SAY("draw-by-heat-title"), "bold"),
        compared,
        Text(SAY("draw-by-heat", units, mild=mild, hot=hot, hotter=hotter), "dim"),
    ]


def _numbers(stage: StageDraw) -> tuple[str, str]:
    power, hours = stage.power, stage.hours
    return (
        f"{power:,.0f}" if math.isfinite(power) else SAY("trips"),
        f"{hours:.1f}" if math.isfinite(hours) else "—",
    )


def _stated(options: list[Option], units: System) -> list[RenderableType]:
    """By the whole draw that the job's ``[supply]`` states."""
    by_pump = {option.choice.pump.name: option for option in reversed(options) if option.running}
    if not by_pump:
        return []
    table = headed(*(SAY(name) for name in ("head-pump", "head-draw", "head-share", "head-hours")))
    for option in reversed(by_pump.values()):
        for stage in option.running:
            table.add_row(
                option.choice.pump.name,
                show(stage.draw, "current", units),
                show(stage.pump_share, "ratio", units),
                f"{stage.hours:.1f}",
            )
    return [Text(SAY("stated-title"), "bold"), table]
