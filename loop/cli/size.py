"""`loop size`: which hose and which pump, at the worst service, with the odds."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table
from rich.text import Text

from loop.cli.options import (
    JobPath,
    JsonOption,
    UnitsOption,
    console,
    load_job,
    user_errors,
    write_whole,
)
from loop.cli.output import bullets, headed, spaced
from loop.job import Job, JobError
from loop.size import Change, Option, SizeResult, to_json, with_sizing
from loop.size import size as study
from loop.size.words import chance, name
from loop.units import System, show

if TYPE_CHECKING:
    from loop.draw.style import Format

_SHOWN_PASSING, _SHOWN_FAILING = 12, 8
_NARROW = 84


def _bores(what: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(
        metavar="SIZES", help=f"Bores to try {what}, with commas between.", show_default=False
    )
    return option


def _text(what: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(help=what, show_default=False)
    return option


@user_errors
def size(
    job: JobPath,
    units: UnitsOption = None,
    as_json: JsonOption = False,
    bores: Annotated[str | None, _bores("on both sides")] = None,
    suction_bores: Annotated[str | None, _bores("before the pump")] = None,
    pressure_bores: Annotated[str | None, _bores("after it")] = None,
    branch_bores: Annotated[str | None, _bores("in branches")] = None,
    barb_bores: Annotated[str | None, _bores("of the barbs")] = None,
    seacock_bores: Annotated[str | None, _bores("of the seacock and its intake")] = None,
    pumps: Annotated[str | None, _text("Pumps to try: names or files, with commas.")] = None,
    service_blocked: Annotated[str | None, _text('How dirty the strainer may get: "50 %".')] = None,
    service_scale: Annotated[str | None, _text('Scale in the tubes: "0.2 mm".')] = None,
    warmest_sea: Annotated[str | None, _text('Warmest sea: "90 degF".')] = None,
    lowest_supply: Annotated[str | None, _text('Lowest supply of a DC pump: "11.5 V".')] = None,
    confidence: Annotated[str | None, _text('Chance asked of every unit: "90 %".')] = None,
    draws: Annotated[int, typer.Option(help="Draws of what is uncertain, an option.")] = 1000,
    seed: Annotated[int, typer.Option(help="Seed of the draws.")] = 1,
    figure: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Draw the answer as well.", show_default=False),
    ] = None,
    everything: Annotated[bool, typer.Option("--all", help="List every option.")] = False,
) -> None:
    """Choose hose and pump: every combination at its worst service, with the odds.

    What is not given here is taken from the job's [sizing].

    Example:  loop size examples/kittiwake.toml --pressure-bores "5/8 in, 3/4 in, 1 in"
    """
    asked = {
        "bores": bores,
        "suction_bores": suction_bores,
        "pressure_bores": pressure_bores,
        "branch_bores": branch_bores,
        "barb_bores": barb_bores,
        "seacock_bores": seacock_bores,
        "pumps": pumps,
        "service_blocked": service_blocked,
        "service_scale": service_scale,
        "warmest_sea": warmest_sea,
        "lowest_supply": lowest_supply,
        "confidence": confidence,
    }
    loaded = with_sizing(load_job(job, units), asked)
    # A wrong ending is told before the study, so that it costs no wait.
    kind = None if figure is None else _figure_kind(figure)
    result = _studied(job, loaded, draws, seed)
    if as_json:
        print(json.dumps(to_json(result), indent=2, allow_nan=False))
    else:
        _print(console(), result, everything)
    if figure is not None and kind is not None:
        _draw(result, figure, kind)


def _figure_kind(figure: str) -> "Format":
    from loop.draw import file_kind

    return file_kind(figure)


def _draw(result: SizeResult, figure: str, kind: "Format") -> None:
    from loop.draw import draw, to_bytes

    write_whole(figure, to_bytes(draw(result, "sizes"), kind))


def _studied(path: str, job: Job, draws: int, seed: int) -> SizeResult:
    """The answer, with a bar on a terminal while it is sought."""
    errors = console(error=True)
    columns = (TextColumn("Sizing"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    try:
        with Progress(
            *columns, console=errors, transient=True, disable=not errors.is_terminal
        ) as bar:
            task = bar.add_task("")
            return study(
                job, draws, seed, lambda done, all_: bar.update(task, completed=done, total=all_)
            )
    except JobError as error:
        raise JobError([f"{Path(path)}: {line}" for line in error.problems]) from None


def _print(out: Console, result: SizeResult, everything: bool) -> None:
    units = result.job.units
    if result.choice is None:
        out.print(Text.assemble(("NOTHING PASSES", "bold red"), f"  {result.job.title}"))
    else:
        chosen = name(result.options[result.choice], units)
        out.print(Text.assemble(("FIT", "bold green"), f"  {chosen}."))
    out.print(spaced(bullets(result.why)))
    if result.runner_up is not None:
        runner = name(result.options[result.runner_up], units)
        out.print(Text.assemble(("Runner-up  ", "bold"), f"{runner}. {result.prefer_runner_up}"))
        out.print()
    narrow = out.width < _NARROW
    for block in (
        _least(result),
        _passing(result, narrow, everything),
        _failing(result, everything),
        _energy(result),
        _basis(result),
    ):
        if block is not None:
            out.print(Padding(block, (0, 0, 1, 0)))


def _least(result: SizeResult) -> RenderableType | None:
    """What mends the job as it stands."""
    if not result.least_change:
        return None
    units = result.job.units
    mends = result.least_change[-1].passes
    title = "Least change that mends it as it stands" if mends else "Nothing tried mends it; most"
    blocks: list[RenderableType] = [
        Text(title, "bold"),
        bullets(tuple(_told(c, units) for c in result.least_change)),
    ]
    if result.other_changes:
        others = "; ".join(
            " and ".join(change.change for change in some) for some in result.other_changes
        )
        blocks.append(Text(f"Or: {others}."))
    return Group(*blocks)


def _told(change: Change, units: System) -> str:
    gain, flow = show(change.gain, "flow", units), show(change.flow, "flow", units)
    return f"{change.change}: {gain} more, {flow} in all"


def _passing(result: SizeResult, narrow: bool, everything: bool) -> RenderableType | None:
    passing = [option for option in result.options if option.passes]
    if not passing:
        return None
    units = result.job.units
    priced = any(option.price is not None for option in passing)
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for title in ("", "pump"):
        table.add_column(title, no_wrap=True)
    columns = ["hoses", "flow", "chance", "power"]
    columns += [] if narrow else ["sure of", "suction", "pressure"]
    for title in columns + ["price"] * priced:
        table.add_column(title, justify="right", no_wrap=True)
    shown = passing if everything else passing[:_SHOWN_PASSING]
    for position, option in enumerate(shown):
        mark = "*" if position in result.front else ""
        row = [f"{option.rank}{mark}", option.choice.pump.name, *_row(option, narrow, units)]
        if priced:
            row.append("—" if option.price is None else f"{option.price:,.0f}")
        table.add_row(*row)
    rest = len(passing) - len(shown)
    note = "* on the trade-off front: no other beats it in margin, power, price and largest bore."
    if rest:
        note += f" {rest} more pass; --all lists them."
    return Group(Text("What passes", "bold"), table, Text(note, "dim"))


def _row(option: Option, narrow: bool, units: System) -> list[str]:
    choice = option.choice
    before, after = (
        show(bore, "bore", units).split()[0] for bore in (choice.suction_bore, choice.pressure_bore)
    )
    row = [
        f"{before}, {after}",
        show(option.flow, "flow", units),
        chance(option.chance),
        show(option.power, "power", units),
    ]
    if not narrow:
        row += [
            show(option.flow_low, "flow", units),
            show(option.suction_velocity, "velocity", units),
            show(option.pressure_velocity, "velocity", units),
        ]
    return row


def _failing(result: SizeResult, everything: bool) -> RenderableType | None:
    failing = [option for option in result.options if not option.passes]
    if not failing:
        return None
    shown = failing if everything else failing[:_SHOWN_FAILING]
    blocks: list[RenderableType] = [Text("What fails, the nearest first", "bold")]
    for option in shown:
        blocks.append(Text(f"{option.rank}  {name(option, result.job.units)}"))
        blocks += [Padding(Text(reason, "dim"), (0, 0, 0, 4)) for reason in option.reasons]
    if len(failing) > len(shown):
        blocks.append(Text(f"{len(failing) - len(shown)} more fail; --all lists them.", "dim"))
    return Group(*blocks)


def _energy(result: SizeResult) -> RenderableType | None:
    """Hours on the bank with the choice and the runner-up."""
    positions = [i for i in (result.choice, result.runner_up) if i is not None]
    options = [result.options[i] for i in positions if result.options[i].running]
    if not options:
        return None
    table = headed("pump", "whole draw", "its share", "hours")
    for option in options:
        for stage in option.running:
            table.add_row(
                option.choice.pump.name,
                show(stage.draw, "current", result.job.units),
                show(stage.pump_share, "ratio", result.job.units),
                f"{stage.hours:.1f}",
            )
    return Group(Text("On the batteries", "bold"), table)


def _basis(result: SizeResult) -> RenderableType:
    studied = result.studied
    spreads = "; ".join(f"{one.quantity} {one.spread}" for one in result.distributions)
    return Group(
        Text.assemble(("Worst service  ", "bold"), f"{', '.join(result.service)}."),
        Text.assemble(
            ("Odds  ", "bold"),
            f"{studied.draws:,} draws of each of {studied.options:,} options, {studied.solves:,} "
            f"operating points in {studied.seconds:.1f} s. Every value in these ranges is taken "
            f"as equally likely: {spreads}.",
        ),
    )
