"""A sizing's answer as `loop size` prints it: choice, runner-up, tables, basis."""

import math

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.output import bare, bullets, headed, sentence, spaced
from loop.cli.size_battery import battery
from loop.size import Change, Option, SizeResult
from loop.size.words import apart_words, chance, name, reach_words
from loop.units import System, label, show
from loop.words import say

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
        _aside(result),
        _against(result),
        _reach(result),
        _least(result),
        _apart(result),
        _passing(result, narrow, everything),
        _failing(result, everything),
        battery(result),
        _basis(result),
    ):
        if block is not None:
            out.print(Padding(block, (0, 0, 1, 0)))


def _aside(result: SizeResult) -> RenderableType | None:
    """What no size of hose or pump fixes."""
    if not result.aside:
        return None
    said = [say(finding, result.chosen) for finding in result.aside]
    lines = tuple(f"{sentence(one.message)} Fix: {one.first_fix}." for one in said)
    return Group(Text("Besides: what no hose or pump fixes", "bold"), bullets(lines))


def _against(result: SizeResult) -> RenderableType | None:
    """Why the first comes before the next cheaper, smaller, quieter."""
    if not result.against:
        return None
    lines = tuple(f"{sentence(one.of).rstrip('.')}: {one.text}" for one in result.against)
    return Group(Text("Why it comes first", "bold"), bullets(lines))


def _reach(result: SizeResult) -> RenderableType | None:
    """How far the choice goes before it fails, one thing at a time."""
    if not result.reach:
        return None
    table = headed("", "now", "passes to", "then")
    table.columns[-1].no_wrap, table.columns[-1].justify = False, "left"
    for one in result.reach:
        table.add_row(*reach_words(one, result.job.units))
    return Group(Text("How far it goes, one thing at a time", "bold"), table)


def _least(result: SizeResult) -> RenderableType | None:
    """What fixes the job as it stands."""
    if not result.least_change:
        return None
    units = result.job.units
    works = result.least_change[-1].passes
    title = (
        "Smallest change that fixes the existing loop"
        if works
        else "No set of three changes fixes the existing loop; most is won by"
    )
    blocks: list[RenderableType] = [
        Text(title, "bold"),
        bullets(tuple(_told(c, units) for c in result.least_change)),
    ]
    if result.other_changes:
        others = ("; and ".join(change.change for change in some) for some in result.other_changes)
        blocks += [Text("Or one of these", "bold"), bullets(tuple(f"{one}." for one in others))]
    return Group(*blocks)


def _apart(result: SizeResult) -> RenderableType | None:
    """What it would take with a pump for each unit."""
    if not result.apart:
        return None
    units = result.job.units
    flow, bore = label("flow", units), label("bore", units)
    table = headed("", "pump", f"hoses\n{bore}", f"flow\n{flow}", "power\nW")
    for one in result.apart:
        if one.option is None:
            table.add_row(one.unit, "none serves", "", "", "")
            continue
        option = one.option
        hoses = ", ".join(bare(bore, "bore", units) for bore in option.choice.bores)
        numbers = bare(option.flow, "flow", units), bare(option.power, "power", units)
        table.add_row(one.unit, option.choice.pump.name, hoses, *numbers)
    title = "One pump for each unit, with intake, strainer and hoses of its own"
    note = apart_words(result)
    return Group(Text(title, "bold"), table, *([Text(note, "dim")] if note else []))


def _told(change: Change, units: System) -> str:
    flow = show(change.flow, "flow", units)
    more = f"{show(change.gain, 'flow', units)} more, " if change.gain > 0 else ""
    return f"{change.change}: {more}{flow} in all"


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
        mark = "*" * (position in result.front) + "=" * option.as_is
        row = [f"{option.rank}{mark}", option.choice.pump.name, *_row(option, narrow, units)]
        if priced:
            row.append("—" if option.price is None else f"{option.price:,.0f}")
        table.add_row(*row)
    rest = len(passing) - len(shown)
    note = "* no other beats it in margin, power, price and largest bore at once."
    if any(option.as_is for option in shown):
        note += " = the loop as it stands."
    if rest:
        note += f" {rest} more pass; --all lists them."
    return Group(Text("What passes", "bold"), table, Text(note, "dim"))


def _row(option: Option, narrow: bool, units: System) -> list[str]:
    choice = option.choice
    main = (choice.suction_bore, choice.pressure_bore)
    hoses = [bare(bore, "bore", units) for bore in main]
    hoses += dict.fromkeys(bare(bore, "bore", units) for bore in choice.branch_bores)
    row = [
        ", ".join(hoses),
        bare(option.flow, "flow", units),
        chance(option.chance).removesuffix(" %") if math.isfinite(option.chance) else "—",
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
    shown = failing if everything else _nearest(failing)[:_SHOWN_FAILING]
    blocks: list[RenderableType] = [Text("What fails, the nearest first", "bold")]
    for option in shown:
        blocks.append(Text(f"{option.rank}  {name(option, result.job.units)}"))
        blocks += [Padding(Text(one.text, "dim"), (0, 0, 0, 4)) for one in option.reasons]
    if len(failing) > len(shown):
        blocks.append(Text(f"{len(failing) - len(shown)} more fail; --all lists them.", "dim"))
    return Group(*blocks)


def _nearest(failing: list[Option]) -> list[Option]:
    """The nearest to passing of each pump."""
    first: dict[tuple[str, int, str], Option] = {}
    for option in failing:
        choice = option.choice
        first.setdefault((choice.pump.name, choice.count, choice.arrangement), option)
    return list(first.values())


def _basis(result: SizeResult) -> RenderableType:
    studied = result.studied
    spreads = "; ".join(f"{one.quantity} {one.spread}" for one in result.distributions)
    left_out = f" Left out, as no supply of the boat runs them: {', '.join(result.unsuited)}."
    return Group(
        Text.assemble(("Worst service  ", "bold"), f"{', '.join(result.service)}."),
        Text.assemble(
            ("Odds  ", "bold"),
            f"{studied.draws:,} draws of each of the best options; {studied.options:,} were "
            f"studied, {studied.checks:,} of them checked whole. About 95 in 100 draws lie in each "
            f"of these ranges: {spreads}.{left_out if result.unsuited else ''}",
        ),
    )
