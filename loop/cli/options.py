"""What the commands share: their common options, how mistakes are told, how files are written."""

import functools
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Literal, ParamSpec, TypeVar

import typer
from rich.console import Console

from loop.job import Job, JobError, read_job
from loop.pumps import UnknownPumpError
from loop.units import UnitError

JobPath = Annotated[str, typer.Argument(metavar="JOB", help="Job file (TOML).", show_default=False)]
UnitsOption = Annotated[
    Literal["us", "si"] | None,
    typer.Option("--units", help="How results are shown; the job's own where left out."),
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print JSON, in SI and °C, for other programs.")
]
OutputOption = Annotated[
    str, typer.Option("--output", "-o", metavar="FILE", help="File to write.", show_default=False)
]

P = ParamSpec("P")
R = TypeVar("R")


def console(*, error: bool = False) -> Console:
    """Where a command prints: colour on a terminal only, and none where NO_COLOR is set."""
    return Console(stderr=error, highlight=False, soft_wrap=False)


def complain(line: str) -> None:
    """One line to standard error, unadorned and unwrapped."""
    print(line, file=sys.stderr)


def user_errors(command: Callable[P, R]) -> Callable[P, R]:
    """Turns what a user can get wrong into a line each on standard error and exit status 2."""

    @functools.wraps(command)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return command(*args, **kwargs)
        except JobError as error:
            for line in error.problems:
                complain(line)
        except (UnitError, UnknownPumpError) as error:
            complain(str(error.args[0] if error.args else error))
        except BrokenPipeError:
            # The reader has seen enough; what is left to print goes nowhere.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(0) from None
        except OSError as error:
            complain(f"{error.filename or 'file'}: {error.strerror or error}")
        raise typer.Exit(2)

    return guarded


def load_job(path: str, units: Literal["us", "si"] | None) -> Job:
    """The job in a file, shown in these units where they are given."""
    job = read_job(path)
    return job if units is None else job.model_copy(update={"units": units})


def write_whole(path: str | Path, content: str | bytes) -> None:
    """Writes a file whole or not at all: beside its place first, then put there in one step.

    Raises OSError where the folder or the disk will not take it; nothing is left behind.
    """
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise IsADirectoryError(21, "is a folder, not a file to write", str(path))
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    except OSError as error:
        raise OSError(error.errno, f"cannot be written: {error.strerror}", str(path)) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, target)
    except BaseException as error:
        os.unlink(name)
        if isinstance(error, OSError):
            raise OSError(error.errno, f"cannot be written: {error.strerror}", str(path)) from None
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
