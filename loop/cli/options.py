"""What the commands share: common options, error reporting, file writing.

Importing this loads nothing else, so a command's help and shell completion answer at once; what a
command needs is loaded when it runs.
"""

import errno
import functools
import gc
import importlib
import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, ParamSpec, TypeVar

import typer

from loop.catalogue import catalogue
from loop.cli.streams import complain, printing, quiet_drawing
from loop.units import System, UnitError
from loop.whole_file import put_whole

if TYPE_CHECKING:
    from rich.console import Console

    from loop.job import Job

JobPath = Annotated[str, typer.Argument(metavar="JOB", help="Job file (TOML).", show_default=False)]
UnitsOption = Annotated[
    System | None,
    typer.Option("--units", help="Units of the results; the job's own if left out."),
]
ShownUnits = Annotated[System, typer.Option("--units", help="Units to show.")]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print JSON, in SI and °C, for other programs.")
]
OutputOption = Annotated[
    str, typer.Option("--output", "-o", metavar="FILE", help="File to write.", show_default=False)
]
ForceOption = Annotated[bool, typer.Option("--force", help="Overwrite a file.")]

# More than any boat has; from Python, larger loops are possible for those with patience.
_MOST_PARTS, _MOST_POINTS, _MOST_BRANCHES = 400, 500, 24

# Bytes of a file's first line that are read to see what wrote it.
_LONGEST_MARKED = 100_000

# Exit status for a program interrupted from the keyboard (128 + SIGINT).
_STOPPED = 130

P = ParamSpec("P")
R = TypeVar("R")


def pump_names(incomplete: str) -> list[str]:
    """Catalogue names that complete the typed text, for the shell."""
    return [name for name in catalogue() if name.startswith(incomplete.lower())]


def takes(metavar: str, told: str, *names: str, **more: Any) -> Any:
    """An option that takes a value, named after its parameter or by `names`; `told` is its help."""
    return typer.Option(*names, metavar=metavar, help=told, **more)


def console(*, error: bool = False) -> "Console":
    """Where a command prints: color only on a terminal, and none if NO_COLOR is set.

    A job's own text is printed unchanged: brackets or colons in it are not taken for markup.
    """
    from loop.cli.output import plain_console

    return plain_console(error)


def print_json(data: Any) -> None:
    """Prints JSON to standard output; raises ValueError for NaN or infinity."""
    import json

    print(json.dumps(data, indent=2, allow_nan=False))


def runs(module: str, draws: bool = False) -> Callable[[Callable[P, None]], Callable[P, None]]:
    """Declares a command's options and help; the function of the same name in `module` runs it.

    `draws`: whether it may draw a figure.
    """

    def declared(declaration: Callable[P, None]) -> Callable[P, None]:
        @functools.wraps(declaration)
        def command(*args: P.args, **kwargs: P.kwargs) -> None:
            if draws:
                quiet_drawing()
            function = getattr(importlib.import_module(module), declaration.__name__)
            user_errors(function)(*args, **kwargs)

        return command

    return declared


def _all_loaded() -> None:
    """Ends what `loop.cli.main` and its caller set up for loading the libraries.

    Garbage collection resumes, and a keyboard interrupt is reported.
    """
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
        signal.signal(signal.SIGINT, signal.default_int_handler)


def user_errors(command: Callable[P, R]) -> Callable[P, R]:
    """Reports user errors, one line each, on standard error and exits with status 2."""

    @functools.wraps(command)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            _all_loaded()
            with printing():
                return command(*args, **kwargs)
        except (KeyboardInterrupt, typer.Abort):
            print(file=sys.stderr)  # leave the line of typed text or of a progress bar
            complain("Stopped.")
            raise typer.Exit(_STOPPED) from None
        except (ValueError, LookupError) as error:
            lines = _mistakes(error)
            if lines is None:
                raise
        for line in lines:
            complain(line)
        raise typer.Exit(2)

    return guarded


def _mistakes(error: Exception) -> list[str] | None:
    """User errors, one line each; None if the error is a bug in the program."""
    from loop.job import JobError
    from loop.pumps import UnknownPumpError

    if isinstance(error, JobError):
        return error.problems
    if isinstance(error, UnitError | UnknownPumpError):
        return [str(error.args[0] if error.args else error)]
    return None


def option(name: str) -> str:
    """An option as typed on the command line.

    >>> option("pump_height")
    '--pump-height'
    """
    return f"--{name.replace('_', '-')}"


def load_job(path: str, units: System | None) -> "Job":
    """The job in a file, shown in the given units if any.

    Raises JobError as `read_job` does, and for a loop so large that it would take minutes.
    """
    from loop.job import JobError, all_parts, read_job
    from loop.parts import Hose, Manifold

    job = read_job(path)
    every = list(all_parts(job.part))
    branches = sum(len(part.branch) for part in every if isinstance(part, Manifold))
    points = sum(len(part.via) for part in every if isinstance(part, Hose))
    for count, what, most in (
        (len(every), "too-large-parts", _MOST_PARTS),
        (points, "too-large-points", _MOST_POINTS),
        (branches, "too-large-branches", _MOST_BRANCHES),
    ):
        if count > most:
            from loop.words.commands import SAY

            raise JobError([SAY("too-large", file=path, count=count, what=SAY(what), most=most)])
    return job.shown_in(units)


def place_for(file: str) -> Path:
    """The path of a file to write, checked before any question whose answer it will hold.

    Raises JobError if its folder does not exist, or if it is a folder itself.
    """
    from loop.job import JobError
    from loop.words.commands import SAY

    target = Path(file)
    if target.is_dir() or not target.parent.is_dir():
        raise JobError([SAY("is-folder" if target.is_dir() else "no-folder", file=file)])
    return target


def free_place(file: str, force: bool, mark: str = "", edited: str | None = None) -> Path:
    """The path of a file to write, which holds nothing that a person wrote.

    Such a file is written where none is, over one whose first line contains `mark`, as in every
    file that the command writes, and over the job `edited`, whose own text the command keeps.
    Raises JobError as `place_for` does, and for any other file, unless `force`.
    """
    from loop.job import JobError
    from loop.words.commands import SAY

    target = place_for(file)
    own = edited is not None and os.path.realpath(edited) == os.path.realpath(target)
    if force or own or not target.is_file():
        return target
    with open(target, "rb") as found:
        first = found.readline(_LONGEST_MARKED)
    if mark and mark.encode() in first:
        return target
    raise JobError([SAY("taken", file=file)])


def write_whole(path: str | Path, content: str | bytes) -> None:
    """Writes a file whole or not at all: to a temporary file, then renamed in one step.

    Raises OSError if the folder or disk refuses it; nothing is left behind.
    """
    target = Path(path)
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        if target.exists() and not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        if target.exists() and not target.is_file():
            target.write_bytes(data)  # a terminal or pipe, which no file can replace
        else:
            put_whole(Path(os.path.realpath(target)), data)
    except OSError as error:
        from loop.words.commands import SAY

        why = SAY("cannot-write", why=error.strerror or str(error))
        raise OSError(error.errno, why, str(path)) from None
