"""A sizing's answer as `loop size` prints it: choice, runner-up, tables, basis."""

import math

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.output import bare, bullets, headed, sentence, spaced
from loop.cli.size_battery import battery
from loop.size import Change, Option, SizeResult
from loop.size.words import apart_words, aside_words, chance, name, reach_words
from loop.units import System, label
from loop.words.size_report import SAY

_SHOWN_PASSING, _SHOWN_FAILING = 12, 8
_NARROW = 88


def report(out: Console, result: SizeResult, everything: bool) -> None:
    """Prints the answer; all options where `everything` is asked, else the best of either kind."""
    units = result.job.units
    if result.choice is None:
        out.print(Text.assemble((SAY("none-passes"), "bold red"), f"  {result.job.title}"))
    else:
        chosen = name(result.options[result.choice], units)
        out.print(Text.assemble((SAY("fit"), "bold green"), f"  {chosen}."))
    out.print(spaced(bullets(result.why)))
    if result.runner_up is not None:
        runner = name(result.options[result.runner_up], units)
        out.print(
            Text.assemble((f"{SAY('runner-up')}  ", "bold"), f"{runner}. {result.prefer_runner_up}")
        )
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
    return Group(Text(SAY("aside-title"), "bold"), bullets(aside_words(result)))


def _against(result: SizeResult) -> RenderableType | None:
    """Why the first comes before the next cheaper, smaller, quieter."""
    if not result.against:
        return None
    lines = tuple(f"{sentence(one.of).rstrip('.')}: {one.text}" for one in result.against)
    return Group(Text(SAY("against-title"), "bold"), bullets(lines))


def _reach(result: SizeResult) -> RenderableType | None:
    """How far the choice goes before it fails, one thing at a time."""
    if not result.reach:
        return None
    table = headed("", SAY("reach-now"), SAY("reach-passes-to"), SAY("reach-then"))
    table.columns[-1].no_wrap, table.columns[-1].justify = False, "left"
    for one in result.reach:
        table.add_row(*reach_words(one, result.job.units))
    return Group(Text(SAY("reach-title"), "bold"), table)


def _least(result: SizeResult) -> RenderableType | None:
    """What fixes the job as it stands."""
    if not result.least_change:
        return None
    units = result.job.units
    works = result.least_change[-1].passes
    blocks: list[RenderableType] = [
        Text(SAY("least-title" if works else "least-none-title"), "bold"),
        bullets(tuple(_told(c, units) for c in result.least_change)),
    ]
    if result.other_changes:
        sets = ([change.change for change in some] for some in result.other_changes)
        others = tuple(f"{SAY('least-and').join(texts)}." for texts in sets)
        blocks += [Text(SAY("least-others-title"), "bold"), bullets(others)]
    return Group(*blocks)


def _apart(result: SizeResult) -> RenderableType | None:
    """What it would take with a pump for each unit."""
    if not result.apart:
        return None
    units = result.job.units
    flow, bore = label("flow", units), label("bore", units)
    table = headed(
        "",
        SAY("head-pump"),
        f"{SAY('head-hoses')}\n{bore}",
        f"{SAY('head-flow')}\n{flow}",
        f"{SAY('head-power')}\nW",
    )
    for one in result.apart:
        if one.option is None:
            table.add_row(one.unit, SAY("apart-none"), "", "", "")
            continue
        option = one.option
        hoses = ", ".join(bare(bore, "bore", units) for bore in option.choice.bores)
        numbers = bare(option.flow, "flow", units), bare(option.power, "power", units)
        table.add_row(one.unit, option.choice.pump.name, hoses, *numbers)
    note = apart_words(result)
    return Group(Text(SAY("apart-title"), "bold"), table, *([Text(note, "dim")] if note else []))


def _told(change: Change, units: System) -> str:
    gain = change.gain if change.gain > 0 else None
    return SAY("least", units, change=change.change, gain=gain, flow=change.flow)


def _passing(result: SizeResult, narrow: bool, everything: bool) -> RenderableType | None:
    passing = [option for option in result.options if option.passes]
    if not passing:
        return None
    units = result.job.units
    priced = any(option.price is not None for option in passing)
    flow, bore, speed = (label(kind, units) for kind in ("flow", "bore", "velocity"))
    columns = {
        "head-hoses": bore, "head-flow": flow, "head-chance": "%", "head-power": "W",
    }  # fmt: skip
    if not narrow:
        columns |= {"head-sure": flow, "head-suction": speed, "head-pressure": speed}
    titles = [f"{SAY(name)}\n{unit}" for name, unit in columns.items()]
    table = headed("", SAY("head-pump"), *titles, *[SAY("head-price")] * priced)
    table.columns[1].justify = "left"
    shown = passing if everything else passing[:_SHOWN_PASSING]
    for position, option in enumerate(shown):
        mark = "*" * (position in result.front) + "=" * option.as_is
        row = [f"{option.rank}{mark}", option.choice.pump.name, *_row(option, narrow, units)]
        if priced:
            row.append("—" if option.price is None else f"{option.price:,.0f}")
        table.add_row(*row)
    rest = len(passing) - len(shown)
    notes = [SAY("passing-best")]
    notes += [SAY("passing-as-is")] * any(option.as_is for option in shown)
    notes += [SAY("passing-more", count=rest)] * (rest > 0)
    return Group(Text(SAY("passing-title"), "bold"), table, Text(" ".join(notes), "dim"))


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
    blocks: list[RenderableType] = [Text(SAY("failing-title"), "bold")]
    for option in shown:
        blocks.append(Text(f"{option.rank}  {name(option, result.job.units)}"))
        blocks += [Padding(Text(one.text, "dim"), (0, 0, 0, 4)) for one in option.reasons]
    if len(failing) > len(shown):
        blocks.append(Text(SAY("failing-more", count=len(failing) - len(shown)), "dim"))
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
    odds = SAY(
        "odds",
        draws=f"{studied.draws:,}",
        options=f"{studied.options:,}",
        checks=f"{studied.checks:,}",
        spreads=spreads,
        unsuited=", ".join(result.unsuited) or None,
    )
    service = f"{', '.join(result.service)}."
    return Group(
        Text.assemble((f"{SAY('service-title')}  ", "bold"), service),
        Text.assemble((f"{SAY('odds-title')}  ", "bold"), odds),
    )
