"""`loop size`: which hose and which pump, at worst service, with the odds."""

from pathlib import Path
from typing import TYPE_CHECKING

from rich.progress import TaskProgressColumn

from loop.cli.options import console, free_place, load_job, print_json, write_whole
from loop.cli.progress_bar import watched
from loop.cli.streams import complain
from loop.job import Job, edit_text
from loop.size import SizeResult, edits, to_json, with_sizing
from loop.size import size as study
from loop.tomlfile import read_text
from loop.units import System
from loop.words.size_report import SAY

if TYPE_CHECKING:
    from loop.draw.style import Format
import math

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.output import bullets, fitted, headed, print_first_last, spaced
from loop.size import Option
from loop.size.rank import SHOWN_FAILING, SHOWN_PASSING, nearest
from loop.size.section import Section
from loop.size.sections import sections
from loop.size.words import option_name
from loop.units import bare, label
from loop.words.chance import chance

_NARROW = 88
# Branches whose bores are listed one by one; of more, the bores that occur.
_FEW_BRANCHES = 4


def size(
    job: str,
    units: System | None,
    as_json: bool,
    draws: int,
    seed: int,
    figure: str | None,
    write: str | None,
    everything: bool,
    force: bool,
    **asked: str | None,
) -> None:
    """Choose hose and pump: every combination at its worst service, with the odds."""
    loaded = with_sizing(load_job(job, units), asked)
    # Report a wrong name before the study, so that it costs no wait.
    if write is not None:
        free_place(write, force)
    kind = None if figure is None else _figure_kind(figure)
    every = everything or as_json or figure is not None
    result = _studied(job, loaded, draws, seed, every)
    if as_json:
        print_json(to_json(result))
    else:
        report(console(), result, everything)
    if figure is not None and kind is not None:
        _draw(result, figure, kind)
    if write is not None:
        _write(job, result, write)


def _write(path: str, result: SizeResult, target: str) -> None:
    """Writes the job file with the choice fitted, comments kept; nothing if no option passes."""
    if result.choice is None:
        complain(SAY("not-written", file=target))
        return
    changes = edits(result.job, result.options[result.choice].choice, result.first)
    folder = str(Path(path).parent)
    write_whole(target, edit_text(read_text(path, "job"), changes, folder))
    complain(SAY("written", file=target, first=SAY("written-right") if result.first else None))


def _figure_kind(figure: str) -> "Format":
    from loop.draw import file_kind

    return file_kind(figure)


def _draw(result: SizeResult, figure: str, kind: "Format") -> None:
    from loop.draw import draw, to_bytes

    write_whole(figure, to_bytes(draw(result, "sizes"), kind))


def _studied(path: str, job: Job, draws: int, seed: int, every: bool) -> SizeResult:
    """The answer, with a progress bar on a terminal."""
    with watched(path, SAY("working"), TaskProgressColumn()) as progress:
        return study(job, draws, seed, progress, every=every)


def report(out: Console, result: SizeResult, everything: bool) -> None:
    """Prints the answer; all options if `everything`, else the best that pass and fail."""
    units = result.job.units
    if result.choice is None:
        title = Text.assemble((SAY("none-passes"), "bold red"), f"  {result.job.title}")
    else:
        chosen = option_name(result.options[result.choice], units)
        title = Text.assemble((SAY("fit"), "bold green"), f"  {chosen}.")
    parts = sections(result)
    first = (Padding(_section(one, out.width), (0, 0, 1, 0)) for one in parts if one.first)
    head = Group(title, *first, spaced(bullets(result.why)))
    rest: list[RenderableType] = []
    if result.runner_up is not None:
        runner = option_name(result.options[result.runner_up], units)
        said = f"{runner}. {result.prefer_runner_up}"
        rest += [Text.assemble((f"{SAY('runner-up')}  ", "bold"), said), Text()]
    for block in (
        *(_section(one, out.width) for one in parts if not one.first),
        _passing(result, out.width, everything),
        _failing(result, everything),
        _basis(result),
    ):
        if block is not None:
            rest.append(Padding(block, (0, 0, 1, 0)))
    print_first_last(out, head, rest)


def _section(one: Section, width: int) -> RenderableType:
    """A section as text: title, then its lines or table."""
    blocks: list[RenderableType] = [Text(one.title, "bold")]
    if one.lines:
        blocks.append(bullets(one.lines))
    if one.rows:
        table = headed(*one.head)
        if one.of == "reach":  # says what then fails
            table.columns[-1].no_wrap, table.columns[-1].justify = False, "left"
        for row in one.rows:
            table.add_row(*row)
        blocks.append(fitted(table, width))
    if one.note:
        blocks.append(Text(one.note, "dim"))
    return Group(*blocks)


def _passing(result: SizeResult, width: int, everything: bool) -> RenderableType | None:
    passing = [option for option in result.options if option.passes]
    if not passing:
        return None
    units, narrow = result.job.units, width < _NARROW
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
    shown = passing if everything else passing[:SHOWN_PASSING]
    for position, option in enumerate(shown):
        mark = "*" * (position in result.front) + "=" * option.as_is
        row = [f"{option.rank}{mark}", option.choice.pump.name, *_row(option, narrow, units)]
        if priced:
            row.append("—" if option.price is None else f"{option.price:,.0f}")
        table.add_row(*row)
    rest = len(passing) - len(shown)
    notes = [SAY("passing-best")]
    notes += [SAY("passing-as-is")] * any(option.as_is for option in shown)
    more = "passing-unchecked" if (unchecked := result.studied.unchecked) else "passing-more"
    notes += [SAY(more, count=rest + unchecked)] * (rest + unchecked > 0)
    table = fitted(table, width)
    return Group(Text(SAY("passing-title"), "bold"), table, Text(" ".join(notes), "dim"))


def _row(option: Option, narrow: bool, units: System) -> list[str]:
    choice = option.choice
    main = (choice.suction_bore, choice.pressure_bore)
    hoses = [bare(bore, "bore", units) for bore in main]
    branches = [bare(bore, "bore", units) for bore in choice.branch_bores]
    alike = len(set(branches)) < 2 or len(branches) > _FEW_BRANCHES
    hoses += dict.fromkeys(branches) if alike else branches
    row = [
        ", ".join(hoses),
        bare(option.flow, "flow", units),
        chance(option.chance).removesuffix("%") if math.isfinite(option.chance) else "—",
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
    shown = failing if everything else nearest(failing)[:SHOWN_FAILING]
    blocks: list[RenderableType] = [Text(SAY("failing-title"), "bold")]
    for option in shown:
        blocks.append(Text(option_name(option, result.job.units)))
        blocks += [Padding(Text(one, "dim"), (0, 0, 0, 4)) for one in option.said]
    passing = sum(option.passes for option in result.options)
    rest = result.studied.options - passing - result.studied.unchecked - len(shown)
    if rest:
        blocks.append(Text(SAY("failing-more", count=rest), "dim"))
    return Group(*blocks)


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
