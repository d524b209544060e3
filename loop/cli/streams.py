"""The streams of a command: error messages, and what happens if nobody reads the output."""

import codecs
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

# Characters that a terminal may lack, and how they are typed there, degrees as in a job file: a
# lost minus would mislead.
_TYPED, _TYPES = "as-typed", {
    "−": "-", "±": "+/-", "×": "x", "÷": "/", "°": "deg", "²": "^2", "³": "^3", "·": "*", "•": "*",
    "⁴": "^4", "⁵": "^5", "⁻": "^-", "⁷": "7", "√": "sqrt", "π": "pi", "α": "alpha", "β": "beta",
    "ε": "epsilon", "θ": "theta", "λ": "lambda", "μ": "mu", "ν": "nu", "ρ": "rho", "Δ": "d",
    "“": '"', "”": '"', "’": "'", "–": "-", "—": "-", "…": "...",
}  # fmt: skip
# Longest line printed whole [characters].
_LONGEST = 1200


def complain(line: str) -> None:
    """Prints one line to standard error, plain and unwrapped.

    Control characters, such as an escape in a file's name, are spelled out. A line longer than
    anyone reads loses its middle.
    """
    if len(line) > _LONGEST:
        line = f"{line[: _LONGEST // 2]} … {line[-_LONGEST // 2 :]}"
    told = (sign if sign.isprintable() else ascii(sign)[1:-1] for sign in line)
    print("".join(told), file=sys.stderr)


@contextmanager
def printing() -> Iterator[None]:
    """Flushes what is printed inside at the end; exits the program if that fails.

    Exits with 0 if the reader has closed the pipe, and with 2 and a reason if the device is full.
    An OSError of any other file also exits with 2.
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
    """Discards the rest of the output."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def usable() -> None:
    """Makes the program's streams usable, and lets a termination signal clean up."""
    # A program started with its streams closed has none of them.
    sys.stdin = sys.stdin or open(os.devnull, encoding="utf-8")  # noqa: SIM115
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    codecs.register_error(_TYPED, _as_typed)
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(errors=_TYPED)  # type: ignore[union-attr]
    signal.signal(signal.SIGTERM, _stopped)


def _as_typed(error: UnicodeError) -> tuple[str, int]:
    """What a terminal that lacks a character shows instead: as typed, or a question mark."""
    assert isinstance(error, UnicodeEncodeError)
    lacking = error.object[error.start : error.end]
    return "".join(_TYPES.get(sign, "?") for sign in lacking), error.end


def quiet_drawing() -> None:
    """Keeps matplotlib from reporting where it keeps its fonts.

    Call it before matplotlib is loaded.
    """
    import logging

    logging.getLogger("matplotlib").setLevel(logging.ERROR)


def _stopped(number: int, frame: Any) -> None:
    raise SystemExit(128 + number)
