"""`loop size`: which hose and which pump, at the worst service, with the odds."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from loop.cli.options import (
    JobPath,
    JsonOption,
    UnitsOption,
    console,
    load_job,
    user_errors,
    write_whole,
)
from loop.cli.size_report import report
from loop.job import Job, JobError
from loop.size import SizeResult, to_json, with_sizing
from loop.size import size as study

if TYPE_CHECKING:
    from loop.draw.style import Format


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
        report(console(), result, everything)
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
