"""`loop check`: the main job, from a job file to a verdict."""

import json
from typing import Annotated

import typer
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from loop.check import CheckResult, Finding, to_json
from loop.check import check as judge
from loop.cli.options import JobPath, JsonOption, UnitsOption, console, load_job, user_errors
from loop.units import show

_VERDICT = {
    "good": ("GOOD", "bold green", "every unit gets its water, and nothing stands in the way"),
    "attention": ("ATTENTION", "bold yellow", "it works, but not surely: see what to do"),
    "bad": ("BAD", "bold red", "do not leave it like this: see what to do"),
}
_LEVEL = {"danger": "bold red", "warning": "bold yellow", "note": "dim"}
_NARROW = 76


@user_errors
def check(
    job: JobPath,
    units: UnitsOption = None,
    as_json: JsonOption = False,
    strict: Annotated[
        bool, typer.Option("--strict", help="End with status 1 on any warning or danger.")
    ] = False,
) -> None:
    """Check a loop: what will flow, is it enough, where the head goes, what is wrong.

    Example:  loop check examples/kittiwake.toml --units si
    """
    result = judge(load_job(job, units))
    if as_json:
        print(json.dumps(to_json(result), indent=2, allow_nan=False))
    else:
        _print(console(), result)
    if strict and any(finding.level != "note" for finding in result.findings):
        raise typer.Exit(1)


def _print(out: Console, result: CheckResult) -> None:
    narrow = out.width < _NARROW
    word, style, meaning = _VERDICT[result.verdict]
    out.print(Text.assemble((word, style), f"  {result.job.title}: {meaning}."))
    out.print()
    for block in (
        _condensers(result, narrow),
        _to_do(result),
        _parts(result, narrow),
        _pump(result),
        _cautions(result),
    ):
        out.print(block)


def _condensers(result: CheckResult, narrow: bool) -> RenderableType:
    """Flow against need, a row a unit."""
    units = result.job.units
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="bold")
    table.add_column("Unit")
    for name in ("flow", "needed", "may be"):
        table.add_column(name, justify="right", no_wrap=not narrow)
    if not narrow:
        table.add_column("water warms", justify="right")
        table.add_column("condensing, est.", justify="right")
        table.add_column("strainer half full", justify="right")
    for unit in result.condensers:
        enough = unit.flow_low >= unit.needed_flow
        style = "green" if enough else ("yellow" if unit.flow >= unit.needed_flow else "red")
        low, high = (show(edge, "flow", units) for edge in (unit.flow_low, unit.flow_high))
        row: list[str | Text] = [
            unit.name,
            Text(show(unit.flow, "flow", units), style),
            show(unit.needed_flow, "flow", units),
            f"{low.split()[0]} to {high.split()[0]}",
        ]
        if not narrow:
            row += [
                show(unit.temperature_rise, "temperature_difference", units),
                show(unit.condensing_temperature, "temperature", units),
                show(unit.flow_half_blocked, "flow", units),
            ]
        table.add_row(*row)
    return Padding(table, (0, 0, 1, 0))


def _to_do(result: CheckResult) -> RenderableType:
    if not result.findings:
        return Padding(Text("Nothing to do."), (0, 0, 1, 0))
    blocks = [_finding(finding) for finding in result.findings]
    return Group(Text("What to do", "bold"), *blocks)


def _finding(finding: Finding) -> RenderableType:
    head = Text.assemble(
        (finding.level, _LEVEL[finding.level]), f"  {finding.code}, {finding.where}"
    )
    body = Group(
        Text(_sentence(finding.message)),
        Text.assemble(("Mend: ", "bold"), _sentence(finding.fix)),
        Text(f"Source: {finding.source}", "dim"),
    )
    return Group(head, Padding(body, (0, 0, 1, 2)))


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def _parts(result: CheckResult, narrow: bool) -> RenderableType:
    """The parts in the water's order, with what each takes of the head."""
    units = result.job.units
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold", title=None)
    table.add_column("Part", no_wrap=not narrow)
    columns = ["lost", "share"] if narrow else ["height", "flow", "speed", "lost", "share"]
    for name in [*columns, "gauge"]:
        table.add_column(name, justify="right", no_wrap=True)
    branch = ""
    for station, share in zip(result.point.stations, result.head_shares, strict=True):
        if station.branch != branch:
            branch = station.branch
            table.add_row(Text(branch or "together again", "bold"))
        row = [show(station.head_loss, "head", units), show(share, "ratio", units)]
        if not narrow:
            row = [
                show(station.height, "height", units),
                show(station.flow, "flow", units),
                show(station.velocity, "velocity", units),
                *row,
            ]
        table.add_row(station.label, *row, show(station.gauge_pressure, "pressure", units))
    title = Text("Where the head goes, from the sea to the sea", "bold")
    return Group(title, Padding(table, (0, 0, 1, 0)))


def _pump(result: CheckResult) -> RenderableType:
    units, pump = result.job.units, result.pump
    text = (
        f"{pump.name} gives {show(pump.head, 'head', units)} at {show(pump.flow, 'flow', units)}"
        f" and holds {show(pump.shutoff_head, 'head', units)} at no flow; the start takes "
        f"{show(pump.start_head, 'head', units)}. Power {show(pump.power, 'power', units)}. "
        f"Head at its inlet (NPSH) {show(pump.npsh_available, 'head', units)}, required "
        f"{show(pump.npsh_required, 'head', units)}."
    )
    return Padding(Text.assemble(("Pump  ", "bold"), text), (0, 0, 1, 0))


def _cautions(result: CheckResult) -> RenderableType:
    return Group(Text("Cautions", "bold"), *(Text(f"• {text}") for text in result.cautions))
