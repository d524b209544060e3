"""`loop size`: which hose and which pump, at the worst service, with the odds."""

import json
from pathlib import Path
from typing import TYPE_CHECKING

from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from loop.cli.options import (
    console,
    load_job,
    write_whole,
)
from loop.cli.size_report import report
from loop.job import Job, JobError
from loop.size import SizeResult, to_json, with_sizing
from loop.size import size as study
from loop.units import System

if TYPE_CHECKING:
    from loop.draw.style import Format


def size(
    job: str,
    units: System | None,
    as_json: bool,
    draws: int,
    seed: int,
    figure: str | None,
    everything: bool,
    **asked: str | None,
) -> None:
    """Choose hose and pump: every combination at its worst service, with the odds."""
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
