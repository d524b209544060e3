"""A sizing's answer as `loop size` prints it: choice, runner-up, tables, basis."""

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.output import bare, bullets, headed, spaced
from loop.size import Change, Option, SizeResult
from loop.size.words import chance, name
from loop.units import System, label, show

_SHOWN_PASSING, _SHOWN_FAILING = 12, 8
_NARROW = 88


def report(out: Console, result: SizeResult, everything: bool) -> None:
    """Prints the answer; all options where `everything` is asked, else the best of either kind."""
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
    title = (
        "Least change that mends it as it stands"
        if mends
        else "Nothing tried mends it as it stands; most is won by"
    )
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
    flow, bore, speed = (label(kind, units) for kind in ("flow", "bore", "velocity"))
    titles = ["pump", f"hoses\n{bore}", f"flow\n{flow}", "chance\n%", "power\nW"]
    if not narrow:
        titles += [f"sure of\n{flow}", f"suction\n{speed}", f"pressure\n{speed}"]
    table = headed("", *titles, *["price"] * priced)
    table.columns[1].justify = "left"
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
    hoses = (bare(bore, "bore", units) for bore in (choice.suction_bore, choice.pressure_bore))
    row = [
        ", ".join(hoses),
        bare(option.flow, "flow", units),
        chance(option.chance).removesuffix(" %"),
        bare(option.power, "power", units),
    ]
    if not narrow:
        row += [
            bare(option.flow_low, "flow", units),
            bare(option.suction_velocity, "velocity", units),
            bare(option.pressure_velocity, "velocity", units),
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
    """Hours on the bank with the pump of the choice, and of the runner-up."""
    positions = [i for i in (result.choice, result.runner_up) if i is not None]
    by_pump = {result.options[i].choice.pump.name: result.options[i] for i in reversed(positions)}
    options = [option for option in reversed(by_pump.values()) if option.running]
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
            f"operating points. About 95 in 100 draws lie in each of these ranges: {spreads}.",
        ),
    )
