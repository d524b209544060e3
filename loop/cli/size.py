"""`loop size`: which hose and which pump, at worst service, with the odds."""

from pathlib import Path
from typing import TYPE_CHECKING

from rich.progress import TaskProgressColumn

from loop.cli.options import console, free_place, load_job, print_json, write_whole
from loop.cli.progress_bar import watched
from loop.cli.size_report import report
from loop.cli.streams import complain
from loop.job import Job, edit_text
from loop.size import SizeResult, edits, to_json, with_sizing
from loop.size import size as study
from loop.tomlfile import read_text
from loop.units import System
from loop.words.size_report import SAY

if TYPE_CHECKING:
    from loop.draw.style import Format


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
    result = _studied(job, loaded, draws, seed)
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


def _studied(path: str, job: Job, draws: int, seed: int) -> SizeResult:
    """The answer, with a progress bar on a terminal."""
    with watched(path, SAY("working"), TaskProgressColumn()) as progress:
        return study(job, draws, seed, progress)
