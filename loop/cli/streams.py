"""The streams of a command: what is told there, and what becomes of it where nobody reads."""

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

# Signs of a line that is told whole.
_LONGEST = 1200


def complain(line: str) -> None:
    """One line to standard error, unadorned and unwrapped.

    What a terminal would obey rather than show, such as an escape in a file's name, is spelled out.
    Of a line that is longer than anyone reads the middle is left out.
    """
    if len(line) > _LONGEST:
        line = f"{line[: _LONGEST // 2]} … {line[-_LONGEST // 2 :]}"
    told = (sign if sign.isprintable() else ascii(sign)[1:-1] for sign in line)
    print("".join(told), file=sys.stderr)


@contextmanager
def printing() -> Iterator[None]:
    """What is printed inside is sent on at the end; ends the program where it cannot be.

    With 0 where the reader has seen enough and is gone, with 2 and a line of why where what is
    written to has no room. So does an error of any other file.
    """
    try:
        try:
            yield
        finally:
            sys.stdout.flush()
    except BrokenPipeError:
        _print_no_more()
        raise SystemExit(0) from None
    except OSError as error:
        if error.filename is None:
            _print_no_more()
        complain(f"{error.filename or 'standard output'}: {error.strerror or error}")
        raise SystemExit(2) from None


def _print_no_more() -> None:
    """What is left of the output goes nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def usable() -> None:
    """Makes the program's streams fit to print to, and a stop from outside one that tidies up."""
    # Started with its streams closed, a program has none of them.
    sys.stdin = sys.stdin or open(os.devnull, encoding="utf-8")  # noqa: SIM115
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show a sign, such as ° or ±, shows a question mark in its place.
        stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    signal.signal(signal.SIGTERM, _stopped)


def quiet_drawing() -> None:
    """Keeps the drawing library from telling where it keeps its fonts, which nobody asked.

    To be called before it is loaded.
    """
    import logging

    logging.getLogger("matplotlib").setLevel(logging.ERROR)


def _stopped(number: int, frame: Any) -> None:
    raise SystemExit(128 + number)
