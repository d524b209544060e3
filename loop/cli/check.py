"""`loop check`: the main job, from a job file to a verdict."""

import math
from collections.abc import Iterator

import typer
from rich.bar import Bar
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from loop.check import CheckResult, CondenserResult, to_json
from loop.check import check as judge
from loop.check.result import Supply
from loop.cli.options import console, load_job, print_json
from loop.cli.output import bare, bullets, headed, sentence, spaced, span
from loop.margins.energy import Energy
from loop.margins.heat import TRIPS
from loop.units import System, label, show
from loop.words import Told, told

_VERDICT = {"good": "bold green", "attention": "bold yellow", "bad": "bold red"}
_GOOD = "Every unit gets enough water. No problems found."
_LEVEL = {"danger": "bold red", "fault": "bold red", "warning": "bold yellow", "note": "bold"}
_SUPPLY: dict[Supply, str] = {
    "enough": "green", "just": "yellow", "short": "red", "once primed": "red",
}  # fmt: skip
# Widths of the terminal from which the tables hold more than the least.
_NARROW, _MIDDLING, _WIDE = 46, 58, 78
_BAR = 10


def check(job: str, units: System | None, as_json: bool, strict: bool) -> None:
    """Check a loop: what flows, is it enough, where the head goes, what is wrong."""
    result = judge(load_job(job, units))
    if as_json:
        print_json(to_json(result))
    else:
        _print(console(), result)
    if strict and _serious(result):
        raise typer.Exit(1)


def _serious(result: CheckResult) -> bool:
    """Whether anything is a warning or worse."""
    return any(finding.level != "note" for finding in result.findings)


def _print(out: Console, result: CheckResult) -> None:
    findings = told(result.findings, result.job)
    for line in _verdict(result, findings):
        out.print(line)
    out.print()
    out.print(Text(result.job.title, "bold"))
    out.print(_units(result, out.width))
    if result.energy is not None:
        out.print(spaced(_energy(result.energy, result.job.units)))
    if findings:
        out.print(Text("Findings" if _serious(result) else "Notes", "bold"))
        out.print(Group(*map(_finding, findings)))
    out.print(Text("Where the head goes, from the sea to the sea", "bold"))
    out.print(spaced(_parts(result, out)))
    serious = _serious(result)
    out.print(spaced(_pump(result)) if serious else _pump(result))
    if serious:
        out.print(Text("Cautions", "bold"))
        out.print(bullets(result.cautions))


def _verdict(result: CheckResult, findings: tuple[Told, ...]) -> Iterator[Text]:
    """Verdict and cause, and the fix: of the gravest finding, where one is more than a note."""
    word = Text(result.verdict.upper(), _VERDICT[result.verdict])
    serious = [one for one in findings if one.level != "note"]
    if not serious:
        yield Text.assemble(word, f"  {_GOOD}")
        return
    first, *others = serious
    more = f" And {len(others)} more below." if others else ""
    yield Text.assemble(word, f"  {sentence(first.message)}{more}")
    yield Text.assemble(("Fix: ", "bold"), sentence(first.first_fix))


def _units(result: CheckResult, width: int) -> RenderableType:
    if len(result.condensers) == 1:
        return spaced(_one_unit(result, result.condensers[0]))
    return spaced(_many_units(result, width))


def _one_unit(result: CheckResult, unit: CondenserResult) -> Text:
    units = result.job.units
    text = Text.assemble(
        f"{unit.name}: ",
        (show(unit.flow, "flow", units), "bold"),
        f" of {bare(unit.needed_flow, 'flow', units)} needed",
        f" ({span(unit.flow_low, unit.flow_high, 'flow', units)}): ",
        Text(result.supply(unit), _SUPPLY[result.supply(unit)]),
    )
    if unit.runs_on:
        text.append(
            f"\nThe water warms {show(unit.temperature_rise, 'temperature_difference', units)}; "
            f"condensing near {show(unit.condensing_temperature, 'temperature', units)}, "
            "an estimate"
        )
    elif math.isfinite(unit.temperature_rise):
        text.append(f"\nCondensing over {show(TRIPS, 'temperature', units)}: it trips first")
    if result.rest is not None:
        resting = result.rest.flow_through(result.rest.network.condenser_part(unit.name))
        text.append(f"\nAt rest, without the scoop's head: {show(resting, 'flow', units)}")
    if math.isfinite(unit.flow_half_blocked):
        text.append(
            f"\nWith the strainer half blocked: {show(unit.flow_half_blocked, 'flow', units)}"
        )
    return text


def _energy(energy: Energy, units: System) -> Text:
    """What pump and units draw in all, a line a stage, and the hours on the batteries."""
    lines = []
    for stage in energy.stages:
        draw = show(stage.power, "power", units)
        words = f"Draw at {stage.stage} stage: {draw} in all"
        if math.isfinite(stage.pump_share):
            words += f", the pump {show(stage.pump_share, 'ratio', units)} of it"
        if math.isfinite(stage.hours):
            words += f"; {show(stage.current, 'current', units)}, {stage.hours:.1f} hours"
        lines.append(words)
    if energy.pump_estimated:
        lines.append("The pump's power is an estimate: its file states none.")
    if energy.left_out:
        lines.append(f"Not in it: {', '.join(energy.left_out)}, of which no draw is stated.")
    return Text("\n".join(lines))


def _many_units(result: CheckResult, width: int) -> Table:
    """Flow against need, a row a unit."""
    units = result.job.units
    flow, warmth = label("flow", units), label("temperature", units)
    columns = [f"flow\n{flow}", f"need\n{flow}", ""]
    if width >= _NARROW:
        columns.append(f"may be\n{flow}")
    if width >= _MIDDLING:
        columns += [f"warms\n{warmth}", f"cond.*\n{warmth}"]
    if width >= _WIDE:
        columns.append(f"strainer half\nblocked, {flow}")
    table = headed("Unit", *columns)
    for unit in result.condensers:
        row: list[str | Text] = [
            bare(unit.flow, "flow", units),
            bare(unit.needed_flow, "flow", units),
            Text(result.supply(unit), _SUPPLY[result.supply(unit)]),
            span(unit.flow_low, unit.flow_high, "flow", units),
            *_warmth(unit, units),
            bare(unit.flow_half_blocked, "flow", units),
        ]
        table.add_row(unit.name, *row[: len(columns)])
    if width >= _MIDDLING:
        told = ["* condensing temperature, an estimate", *_arriving(result), *_resting(result)]
        table.caption = Text("\n".join(told), "dim")
        table.caption_justify = "left"
    return table


def _warmth(unit: CondenserResult, units: System) -> tuple[str, str]:
    """How far the water warms, and where the unit condenses, as far as it runs on."""
    if unit.runs_on or not math.isfinite(unit.temperature_rise):
        return (
            bare(unit.temperature_rise, "temperature_difference", units),
            bare(unit.condensing_temperature, "temperature", units),
        )
    return "—", f"over {bare(TRIPS, 'temperature', units)}"


def _resting(result: CheckResult) -> list[str]:
    """Flows without the boat's speed, where that makes a difference."""
    rest = result.rest
    if rest is None:
        return []
    flows = [
        (unit.name, rest.flow_through(rest.network.condenser_part(unit.name)))
        for unit in result.condensers
    ]
    said = ", ".join(f"{name} {show(flow, 'flow', result.job.units)}" for name, flow in flows)
    return [f"At rest, without the scoop's head: {said}"]


def _arriving(result: CheckResult) -> list[str]:
    """The units whose water does not come straight from the sea."""
    units = result.job.units
    sea = show(result.job.water.temperature, "temperature", units)
    told = [(u, show(u.inlet_temperature, "temperature", units)) for u in result.condensers]
    return [
        f"Water comes to {unit.name} at {comes}, warmed by {' and '.join(unit.warmed_by)}"
        for unit, comes in told
        if comes != sea
    ]


def _finding(finding: Told) -> RenderableType:
    """A finding, or several of which the same is said, with their places."""
    several = len(finding.places) > 1
    where = f"{len(finding.places)} places" if several else finding.where
    head = Text.assemble((finding.level, _LEVEL[finding.level]), f"  {finding.code}, {where}")
    body = Group(
        *([bullets(finding.places)] if several else []),
        *(Text(sentence(message)) for message in finding.messages),
        Text.assemble(("Fix: ", "bold"), sentence(finding.fix)),
        Text(f"Source: {finding.source}", "dim"),
    )
    return Group(head, Padding(body, (0, 0, 1, 2)))


def _parts(result: CheckResult, out: Console) -> Table:
    """The parts in the water's order, with what each takes of the head."""
    units = result.job.units
    middling, wide = out.width >= _MIDDLING, out.width >= _WIDE
    bars = wide and not out.options.ascii_only
    columns = {"lost": "head", "gauge": "pressure"}
    if middling:
        columns = {"height": "height", "flow": "flow", **columns}
    if wide:
        columns = {"height": "height", "flow": "flow", "speed": "velocity", **columns}
    heads = [f"{name}\n{label(quantity, units)}" for name, quantity in columns.items()]
    table = headed("Part", *heads, "share", *([""] if bars else []))
    branch = ""
    for station, share in zip(result.point.stations, result.head_shares, strict=True):
        if station.branch != branch:
            branch = station.branch
            table.add_row(Text(f"· {branch}" if branch else "· joined again", "bold"))
        values = {
            "height": station.height,
            "flow": station.flow,
            "speed": station.velocity,
            "lost": station.head_loss,
            "gauge": station.gauge_pressure,
        }
        row: list[RenderableType] = [
            bare(values[name], quantity, units) for name, quantity in columns.items()
        ]
        row.append(show(share, "ratio", units))
        if bars:
            row.append(Bar(1.0, 0.0, share, width=_BAR))
        table.add_row(station.label, *row)
    branch = " along its own branch" if result.point.network.forks else ""
    table.caption = Text(f"Share: of the pump's head{branch}; the lift takes the rest.", "dim")
    table.caption_justify = "left"
    return table


def _pump(result: CheckResult) -> Text:
    units, pump, group = result.job.units, result.pump, result.job.pump
    several = group.count > 1

    def head(value: float) -> str:
        return show(value, "head", units)

    text = (
        f"{group.called} {'give' if several else 'gives'} {head(pump.head)} at "
        f"{show(pump.flow, 'flow', units)}, {show(pump.shutoff_share, 'ratio', units)} of the "
        f"{head(pump.shutoff_head)} at shut-off; priming needs {head(pump.start_head)}."
    )
    if math.isfinite(pump.power):
        text += f" Power {show(pump.power, 'power', units)}{' in all' if several else ''}."
    text += f" Suction head (NPSH) {head(pump.npsh_available)}"
    if math.isfinite(pump.npsh_required):
        text += f"; {'each' if several else 'it'} needs {head(pump.npsh_required)}"
    return Text.assemble(("Pump  ", "bold"), f"{text}.")
