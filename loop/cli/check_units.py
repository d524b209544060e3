"""The units of a check on the terminal: what each gets and needs, and its temperatures."""

import math
from collections.abc import Sequence

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from loop.check import CheckResult, CondenserResult
from loop.check.result import Supply
from loop.cli.output import headed, spaced, span
from loop.margins.heat import TRIPS
from loop.units import System, bare, label, show
from loop.words.check_report import SAY
from loop.words.template import listed

_SUPPLY: dict[Supply, str] = {
    "enough": "green", "just": "yellow", "short": "red",
    "intake dry": "red", "once primed": "red", "if it runs": "red", "under way": "red",
}  # fmt: skip
# Terminal widths from which the tables get more columns.
NARROW, MIDDLING, WIDE = 46, 58, 78
# Flows that differ by no more than this share look the same to a reader.
_BETTER = 0.02


def units_table(result: CheckResult, width: int) -> RenderableType:
    """The units, laid out for a terminal of this width."""
    if len(result.condensers) == 1:
        return spaced(_one_unit(result, result.condensers[0]))
    return spaced(_many_units(result, width))


def _supplied(result: CheckResult, unit: CondenserResult) -> Text:
    """Whether a unit gets its need, and on what condition."""
    supply = result.supply(unit)
    return Text(SAY("just-enough") if supply == "just" else supply, _SUPPLY[supply])


def _one_unit(result: CheckResult, unit: CondenserResult) -> Text:
    units = result.job.units
    needed = bare(unit.needed_flow, "flow", units)
    text = Text.assemble(
        f"{unit.name}: ",
        (show(unit.flow, "flow", units), "bold"),
        SAY("need", needed=needed, band=span(unit.flow_low, unit.flow_high, "flow", units)),
        _supplied(result, unit),
    )
    more = _at_best(result)
    if unit.runs_on:
        rise, condensing = unit.temperature_rise, unit.condensing_temperature
        more.append(SAY("warms", units, rise=rise, condensing=condensing))
    elif math.isfinite(unit.temperature_rise):
        more.append(SAY("trips", units, limit=TRIPS))
    resting = result.resting(unit.name)
    if resting is not None:
        more.append(SAY("at-rest", flows=show(resting, "flow", units)))
    if math.isfinite(unit.flow_half_blocked):
        more.append(SAY("half-blocked", units, flow=unit.flow_half_blocked))
    return text.append("".join(f"\n{line}" for line in more))


def _many_units(result: CheckResult, width: int) -> Table:
    """Flow against need, one row per unit."""
    units = result.job.units
    flow, warmth = label("flow", units), label("temperature", units)
    columns = [f"{SAY('head-flow')}\n{flow}", f"{SAY('head-need')}\n{flow}", ""]
    if width >= NARROW:
        columns.append(f"{SAY('head-band')}\n{flow}")
    if width >= MIDDLING:
        columns += [f"{SAY('head-warms')}\n{warmth}", f"{SAY('head-condensing')}\n{warmth}"]
    if width >= WIDE:
        columns.append(SAY("head-half-blocked", unit=flow))
    table = headed(SAY("head-unit"), *columns)
    for unit in result.condensers:
        row: list[str | Text] = [
            bare(unit.flow, "flow", units),
            bare(unit.needed_flow, "flow", units),
            _supplied(result, unit),
            span(unit.flow_low, unit.flow_high, "flow", units),
            *_warmth(unit, units),
            bare(unit.flow_half_blocked, "flow", units),
        ]
        table.add_row(unit.name, *row[: len(columns)])
    told = [*_at_best(result), *_arriving(result), *_resting(result)] if width >= MIDDLING else []
    told[:0] = [SAY("estimated")] * (width >= MIDDLING)
    names = {"head-band": NARROW, "head-warms": MIDDLING, "head-condensing": MIDDLING}
    missing = [SAY(name).rstrip("*") for name, least in names.items() if width < least]
    missing += [SAY("left-half-blocked")] * (width < WIDE)
    table.caption = Text("\n".join((*told, *without(missing))), "dim")
    table.caption_justify = "left"
    return table


def without(heads: Sequence[str]) -> list[str]:
    """A line that names the columns left out of a narrow terminal."""
    return [SAY("narrow", heads=listed(heads))] if heads else []


def _warmth(unit: CondenserResult, units: System) -> tuple[str, str]:
    """Temperature rise and condensing temperature, as far as the unit runs on."""
    if unit.runs_on or not math.isfinite(unit.temperature_rise):
        return (
            bare(unit.temperature_rise, "temperature_difference", units),
            bare(unit.condensing_temperature, "temperature", units),
        )
    return "—", SAY("over", limit=bare(TRIPS, "temperature", units))


def _at_best(result: CheckResult) -> list[str]:
    """Flows with every falling leg full that can be, for units that then get clearly more."""
    units, several = result.job.units, len(result.condensers) > 1
    said = [
        f"{unit.name} {best}" if several else best
        for unit in result.condensers
        if unit.flow_best > (1 + _BETTER) * unit.flow
        for best in [show(unit.flow_best, "flow", units)]
    ]
    legs = sum(leg.state == "either" for leg in result.point.legs)
    row = "at-best-several" if legs > 1 else "at-best"
    return [SAY(row, flows=", ".join(said))] if said else []


def _resting(result: CheckResult) -> list[str]:
    """Flows at rest, if the boat's speed makes a difference."""
    flows = [(unit.name, result.resting(unit.name)) for unit in result.condensers]
    units = result.job.units
    said = [f"{name} {show(flow, 'flow', units)}" for name, flow in flows if flow is not None]
    return [SAY("at-rest", flows=", ".join(said))] if said else []


def _arriving(result: CheckResult) -> list[str]:
    """Units whose water is warmer than the sea."""
    units = result.job.units
    sea = show(result.job.water.temperature, "temperature", units)
    told = [(u, show(u.inlet_temperature, "temperature", units)) for u in result.condensers]
    return [
        SAY("arriving", unit=unit.name, temperature=comes, by=unit.warmed_by)
        if unit.warmed_by
        else SAY("arriving-round", unit=unit.name, temperature=comes)
        for unit, comes in told
        if comes != sea
    ]
