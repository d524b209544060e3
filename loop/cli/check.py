"""`loop check`: the main job, from a job file to a verdict."""

import math
from collections.abc import Iterator, Sequence

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
from loop.cli.output import bullets, headed, sentence, spaced, span
from loop.hydraulics.fall_lost import fall_lost
from loop.margins.energy import Energy
from loop.margins.heat import TRIPS
from loop.units import System, bare, label, show
from loop.words import Told, told
from loop.words.check_report import SAY
from loop.words.first_lines import all_well, first_lines
from loop.words.template import listed

_VERDICT = {"good": "bold green", "attention": "bold yellow", "bad": "bold red"}
_LEVEL = {"danger": "bold red", "fault": "bold red", "warning": "bold yellow", "note": "bold"}
_SUPPLY: dict[Supply, str] = {
    "enough": "green", "just": "yellow", "short": "red",
    "intake dry": "red", "once primed": "red", "if it runs": "red", "under way": "red",
}  # fmt: skip
# Widths of the terminal from which the tables hold more than the least.
_NARROW, _MIDDLING, _WIDE = 46, 58, 78
_BAR = 10
# A flow that is more by no more than this share is the same to a reader.
_BETTER = 0.02


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
    for line in verdict_lines(result):
        out.print(line)
    out.print()
    out.print(Text(result.job.title, "bold"))
    out.print(_units(result, out.width))
    if result.energy is not None:
        out.print(spaced(_energy(result.energy, result.job.units)))
    serious = _serious(result)
    if findings:
        out.print(Text(SAY("findings" if serious else "notes"), "bold"))
        out.print(Group(*map(_finding, findings)))
    out.print(Text(SAY("parts-title"), "bold"))
    out.print(spaced(_parts(result, out)))
    out.print(spaced(_pump(result)) if serious else _pump(result))
    if serious:
        out.print(Text(SAY("cautions"), "bold"))
        out.print(bullets(result.cautions))


def verdict_lines(result: CheckResult, more: str = "more-below") -> Iterator[Text]:
    """Verdict and cause, and the fix: of the gravest finding, where one is more than a note.

    ``more`` is the row that says how many others there are.
    """
    word = Text(result.verdict.upper(), _VERDICT[result.verdict])
    first = first_lines(result.findings, result.job)
    if first is None:
        yield Text.assemble(word, f"  {all_well(result.findings, result.job)}")
        return
    said = f" {SAY(more, count=first.more)}" if first.more else ""
    yield Text.assemble(word, f"  {sentence(first.cause)}{said}")
    yield Text.assemble((f"{SAY('fix')} ", "bold"), sentence(first.fix))


def _units(result: CheckResult, width: int) -> RenderableType:
    if len(result.condensers) == 1:
        return spaced(_one_unit(result, result.condensers[0]))
    return spaced(_many_units(result, width))


def _one_unit(result: CheckResult, unit: CondenserResult) -> Text:
    units = result.job.units
    needed = bare(unit.needed_flow, "flow", units)
    text = Text.assemble(
        f"{unit.name}: ",
        (show(unit.flow, "flow", units), "bold"),
        SAY("need", needed=needed, band=span(unit.flow_low, unit.flow_high, "flow", units)),
        Text(result.supply(unit), _SUPPLY[result.supply(unit)]),
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


def _energy(energy: Energy, units: System) -> Text:
    """What pump and units draw in all, a line a stage, and the hours on the batteries."""
    lines = [
        SAY(
            "draw",
            units,
            stage=stage.stage,
            power=stage.power,
            share=stage.pump_share,
            current=stage.current,
            hours=stage.hours,
        )
        for stage in energy.stages
    ]
    if energy.pump_estimated:
        lines.append(SAY("power-estimated"))
    if energy.left_out:
        lines.append(SAY("draw-left-out", units=", ".join(energy.left_out)))
    return Text("\n".join(lines))


def _many_units(result: CheckResult, width: int) -> Table:
    """Flow against need, a row a unit."""
    units = result.job.units
    flow, warmth = label("flow", units), label("temperature", units)
    columns = [f"{SAY('head-flow')}\n{flow}", f"{SAY('head-need')}\n{flow}", ""]
    if width >= _NARROW:
        columns.append(f"{SAY('head-band')}\n{flow}")
    if width >= _MIDDLING:
        columns += [f"{SAY('head-warms')}\n{warmth}", f"{SAY('head-condensing')}\n{warmth}"]
    if width >= _WIDE:
        columns.append(SAY("head-half-blocked", unit=flow))
    table = headed(SAY("head-unit"), *columns)
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
    told = [*_at_best(result), *_arriving(result), *_resting(result)] if width >= _MIDDLING else []
    told[:0] = [SAY("estimated")] * (width >= _MIDDLING)
    names = {"head-band": _NARROW, "head-warms": _MIDDLING, "head-condensing": _MIDDLING}
    missing = [SAY(name).rstrip("*") for name, least in names.items() if width < least]
    missing += [SAY("left-half-blocked")] * (width < _WIDE)
    table.caption = Text("\n".join((*told, *_left_out(missing))), "dim")
    table.caption_justify = "left"
    return table


def _left_out(heads: Sequence[str]) -> list[str]:
    """Which columns a narrow window leaves out."""
    return [SAY("narrow", heads=listed(heads))] if heads else []


def _warmth(unit: CondenserResult, units: System) -> tuple[str, str]:
    """How far the water warms, and where the unit condenses, as far as it runs on."""
    if unit.runs_on or not math.isfinite(unit.temperature_rise):
        return (
            bare(unit.temperature_rise, "temperature_difference", units),
            bare(unit.condensing_temperature, "temperature", units),
        )
    return "—", SAY("over", limit=bare(TRIPS, "temperature", units))


def _at_best(result: CheckResult) -> list[str]:
    """Flows with every falling leg full that can be, of the units that then get clearly more."""
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
    """Flows without the boat's speed, where that makes a difference."""
    flows = [(unit.name, result.resting(unit.name)) for unit in result.condensers]
    units = result.job.units
    said = [f"{name} {show(flow, 'flow', units)}" for name, flow in flows if flow is not None]
    return [SAY("at-rest", flows=", ".join(said))] if said else []


def _arriving(result: CheckResult) -> list[str]:
    """The units whose water does not come straight from the sea."""
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


def _finding(finding: Told) -> RenderableType:
    """A finding, or several of which the same is said, with their places."""
    several = len(finding.places) > 1
    where = SAY("places", count=len(finding.places)) if several else finding.where
    head = Text.assemble((finding.level, _LEVEL[finding.level]), f"  {finding.code}, {where}")
    body = Group(
        # Where each place has a message of its own, that begins with the place.
        *([bullets(finding.places)] if several and len(finding.messages) == 1 else []),
        *(Text(sentence(message)) for message in finding.messages),
        Text.assemble((f"{SAY('fix')} ", "bold"), sentence(finding.fix)),
        Text(SAY("source", source=finding.source), "dim"),
    )
    return Group(head, Padding(body, (0, 0, 1, 2)))


def _parts(result: CheckResult, out: Console) -> Table:
    """The parts in the water's order, with what each takes of the head."""
    units = result.job.units
    middling, wide = out.width >= _MIDDLING, out.width >= _WIDE
    bars = wide and not out.options.ascii_only
    every = {
        "head-height": "height", "head-flow": "flow", "head-speed": "velocity",
        "head-lost": "head", "head-gauge": "pressure",
    }  # fmt: skip
    left_out = [] if wide else ["head-speed"] if middling else [*every][:3]
    columns = {name: quantity for name, quantity in every.items() if name not in left_out}
    heads = [f"{SAY(name)}\n{label(quantity, units)}" for name, quantity in columns.items()]
    table = headed(SAY("head-part"), *heads, SAY("head-share"), *([""] if bars else []))
    branch = ""
    marked, taken = False, list[str]()
    for index, (station, share) in enumerate(
        zip(result.point.stations, result.head_shares, strict=True)
    ):
        if station.branch != branch:
            branch = station.branch
            table.add_row(Text(f"· {branch}" if branch else SAY("joined"), "bold"))
        values = {
            "head-height": station.height,
            "head-flow": station.flow,
            "head-speed": station.velocity,
            "head-lost": station.head_loss,
            "head-gauge": station.gauge_pressure,
        }
        row: list[RenderableType] = [
            bare(values[name], quantity, units) for name, quantity in columns.items()
        ]
        row.append(show(share, "ratio", units))
        if bars:
            row.append(Bar(1.0, 0.0, share, width=_BAR))
        air = fall_lost(result.point, index)
        film = station.film or air > 0
        if air > 0:
            taken.append(SAY("parts-film-takes", units, head=air, part=station.label))
        marked |= film
        table.add_row(SAY("parts-film", part=station.label) if film else station.label, *row)
    along = SAY("parts-along") if result.point.network.forks else None
    scoop = SAY("parts-scoop") if result.point.network.start_head > 0 else None
    notes = [SAY("parts-share", scoop=scoop, along=along)]
    notes += [SAY("parts-film-note", parts=tuple(taken) or None)] * marked
    notes += _left_out([SAY(name) for name in left_out])
    table.caption = Text("\n".join(notes), "dim")
    table.caption_justify = "left"
    return table


def _pump(result: CheckResult) -> Text:
    pump, group = result.pump, result.job.pump
    if pump.head < 0:
        row = "driven-one" if group.count == 1 else "driven-several"
    else:
        row = "pump-one" if group.count == 1 else "pump-several"
    said = SAY(
        row,
        result.job.units,
        pump=group.called,
        head=abs(pump.head),
        flow=pump.flow,
        share=pump.shutoff_share,
        shutoff=pump.shutoff_head,
        priming=pump.start_head,
        power=pump.power,
        npsh=pump.npsh_available,
        needed=pump.npsh_required,
    )
    return Text.assemble((f"{SAY('pump-title')}  ", "bold"), said)
