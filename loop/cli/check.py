"""`loop check`: the main command, from a job file to a verdict."""

from collections.abc import Iterator, Sequence

import typer
from rich.bar import Bar
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from loop.check import CheckResult, to_json
from loop.check import check as judge
from loop.cli.check_units import MIDDLING, WIDE, units_table, without
from loop.cli.last_visit import measured_less
from loop.cli.options import console, load_job, print_json
from loop.cli.output import bullets, headed, print_first_last, sentence, spaced
from loop.hydraulics.air_loss import head_lost_to_air
from loop.margins.energy import Energy
from loop.units import System, bare, label, show
from loop.words import Told, told
from loop.words.check_report import SAY
from loop.words.first_lines import all_well, first_lines

_VERDICT = {"good": "bold green", "attention": "bold yellow", "bad": "bold red"}
_LEVEL = {"danger": "bold red", "fault": "bold red", "warning": "bold yellow", "note": "bold"}
_BAR = 10
# Further findings that the first lines name.
_ALSO = 3


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
    """Whether any finding is a warning or worse."""
    return any(finding.level != "note" for finding in result.findings)


def _print(out: Console, result: CheckResult) -> None:
    findings = told(result.findings, result.job)
    head = Group(
        *verdict_lines(result),
        *_also([one for one in findings if one.level != "note"][1:]),
        *_measured(result),
        Text(),
        Text(result.job.title, "bold"),
        units_table(result, out.width),
    )
    blocks = list[RenderableType]()
    if result.energy is not None:
        blocks.append(spaced(_energy(result.energy, result.job.units)))
    serious = _serious(result)
    if findings:
        blocks.append(Text(SAY("findings" if serious else "notes"), "bold"))
        blocks += map(_finding, findings)
    blocks += [Text(SAY("parts-title"), "bold"), spaced(_parts(result, out))]
    blocks.append(spaced(_pump(result)) if serious else _pump(result))
    if serious:
        blocks += [Text(SAY("cautions"), "bold"), bullets(result.cautions)]
    print_first_last(out, head, blocks)


def _also(others: Sequence[Told]) -> Iterator[Text]:
    """What else is wrong, in one line."""
    named = [f"{one.title}, {one.where}" for one in others[:_ALSO]]
    if len(others) > _ALSO:
        named.append(SAY("also-more", count=len(others) - _ALSO))
    if named:
        yield Text.assemble((f"{SAY('also')} ", "bold"), "; ".join(named))


def _measured(result: CheckResult) -> Iterator[Text]:
    """What was measured last, if it is less."""
    if said := measured_less(result):
        yield Text.assemble((f"{SAY('measured')} ", "bold yellow"), said)


def verdict_lines(result: CheckResult, more: str | None = None) -> Iterator[Text]:
    """Verdict and cause, then the fix, of the worst finding; with notes at most, that all is well.

    ``more`` is the text row that says how many others there are, if it is to be said.
    """
    word = Text(result.verdict.upper(), _VERDICT[result.verdict])
    first = first_lines(result.findings, result.job)
    if first is None:
        yield Text.assemble(word, f"  {all_well(result.findings, result.job)}")
        return
    said = f" {SAY(more, count=first.more)}" if more and first.more else ""
    yield Text.assemble(word, f"  {sentence(first.cause)}{said}")
    yield Text.assemble((f"{SAY('fix')} ", "bold"), sentence(first.fix))


def _energy(energy: Energy, units: System) -> Text:
    """Total draw of pump and units, one line per stage, and the hours on the batteries."""
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


def _finding(finding: Told) -> RenderableType:
    """A finding, or several merged under one text, with their places."""
    several = len(finding.places) > 1
    where = SAY("places", count=len(finding.places)) if several else finding.where
    head = Text.assemble((finding.level, _LEVEL[finding.level]), f"  {finding.title}, {where}")
    body = Group(
        # If each place has its own message, that message starts with the place.
        *([bullets(finding.places)] if several and len(finding.messages) == 1 else []),
        *(Text(sentence(message)) for message in finding.messages),
        Text.assemble((f"{SAY('fix')} ", "bold"), sentence(finding.fix)),
        Text(SAY("source", source=finding.source, code=finding.code), "dim"),
    )
    return Group(head, Padding(body, (0, 0, 1, 2)))


def _parts(result: CheckResult, out: Console) -> Table:
    """The parts in flow order, with the head that each takes."""
    units = result.job.units
    middling, wide = out.width >= MIDDLING, out.width >= WIDE
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
        air = head_lost_to_air(result.point, index)
        film = station.film or air > 0
        if air > 0:
            taken.append(SAY("parts-film-takes", units, head=air, part=station.label))
        marked |= film
        table.add_row(SAY("parts-film", part=station.label) if film else station.label, *row)
    along = SAY("parts-along") if result.point.network.forks else None
    scoop = SAY("parts-scoop") if result.point.network.start_head > 0 else None
    notes = [SAY("parts-share", scoop=scoop, along=along)]
    notes += [SAY("parts-film-note", parts=tuple(taken) or None)] * marked
    notes += without([SAY(name) for name in left_out])
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
