"""What the commands share: their common options, how mistakes are told, how files are written."""

import errno
import functools
import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import IO, Annotated, Any, ParamSpec, TypeVar, cast

import typer
from rich.console import Console

from loop.cli.output import Unpadded
from loop.cli.streams import complain, printing
from loop.job import Job, JobError, all_parts, read_job
from loop.parts import Hose, Manifold
from loop.pumps import UnknownPumpError, catalogue
from loop.units import System, UnitError
from loop.whole_file import put_whole

JobPath = Annotated[str, typer.Argument(metavar="JOB", help="Job file (TOML).", show_default=False)]
UnitsOption = Annotated[
    System | None,
    typer.Option("--units", help="How results are shown; the job's own where left out."),
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print JSON, in SI and °C, for other programs.")
]
OutputOption = Annotated[
    str, typer.Option("--output", "-o", metavar="FILE", help="File to write.", show_default=False)
]

# More than any boat has: from Python a loop may be larger, for as long as one cares to wait.
_MOST_PARTS, _MOST_POINTS, _MOST_BRANCHES = 400, 500, 24

# Columns of a terminal that says it has none, and the fewest in which tables lose none of theirs.
_WIDTH, _LEAST_WIDTH = 80, 32

# What a shell gives a program that was stopped from the keyboard.
_STOPPED = 130

P = ParamSpec("P")
R = TypeVar("R")


def pump_names(incomplete: str) -> list[str]:
    """Names of the catalogue that complete what was typed, for the shell."""
    return [name for name in catalogue() if name.startswith(incomplete.lower())]


class _Console(Console):
    def on_broken_pipe(self) -> None:
        """Leaves it to `printing`, which ends the program without an error."""
        raise BrokenPipeError


def console(*, error: bool = False) -> Console:
    """Where a command prints: colour on a terminal only, and none where NO_COLOR is set.

    A job's own words go out as they are: no square bracket or colon in them is taken for markup.
    """
    stream = cast(IO[str], Unpadded(sys.stderr if error else sys.stdout))
    found = _Console(file=stream, highlight=False, markup=False, emoji=False, soft_wrap=False)
    # COLUMNS may say 0. A line that is wider than the terminal goes on in the next, with all of it.
    found.width = max(found.width, _LEAST_WIDTH) if found.width else _WIDTH
    return found


def print_json(data: Any) -> None:
    """JSON to standard output; raises ValueError for a number that JSON has not, such as NaN."""
    print(json.dumps(data, indent=2, allow_nan=False))


def user_errors(command: Callable[P, R]) -> Callable[P, R]:
    """Turns what a user can get wrong into a line each on standard error and exit status 2."""

    @functools.wraps(command)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            with printing():
                return command(*args, **kwargs)
        except JobError as error:
            for line in error.problems:
                complain(line)
        except (UnitError, UnknownPumpError) as error:
            complain(str(error.args[0] if error.args else error))
        except (KeyboardInterrupt, typer.Abort):
            print(file=sys.stderr)  # what was typed, or a bar of progress, stands in this line
            complain("Stopped.")
            raise typer.Exit(_STOPPED) from None
        raise typer.Exit(2)

    return guarded


def load_job(path: str, units: System | None) -> Job:
    """The job in a file, shown in these units where they are given.

    Raises JobError as `read_job` does, and for a loop so large that its answer takes minutes.
    """
    job = read_job(path)
    every = list(all_parts(job.part))
    branches = sum(len(part.branch) for part in every if isinstance(part, Manifold))
    points = sum(len(part.via) for part in every if isinstance(part, Hose))
    for count, what, most in (
        (len(every), "parts", _MOST_PARTS),
        (points, "points on the way of hoses", _MOST_POINTS),
        (branches, "branches", _MOST_BRANCHES),
    ):
        if count > most:
            raise JobError([f"{path}: {count} {what} in all; the command takes at most {most}"])
    return job if units is None else job.model_copy(update={"units": units})


def write_whole(path: str | Path, content: str | bytes) -> None:
    """Writes a file whole or not at all: beside its place first, then put there in one step.

    Raises OSError where the folder or the disk will not take it; nothing is left behind.
    """
    target = Path(os.path.realpath(path))
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        if target.exists() and not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        if target.exists() and not target.is_file():
            target.write_bytes(data)  # a terminal or a pipe, which cannot be replaced by a file
        else:
            put_whole(target, data)
    except OSError as error:
        why = f"cannot be written: {error.strerror or error}"
        raise OSError(error.errno, why, str(path)) from None
