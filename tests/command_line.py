"""Runs of the command, as by a person or a script."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path

from typer.testing import CliRunner, Result

from loop.cli import app

EXAMPLES = Path(__file__).parent.parent / "examples"
KITTIWAKE = EXAMPLES / "kittiwake.toml"
GOOD = KITTIWAKE.read_text("utf-8")
JOBS = sorted(p for p in EXAMPLES.glob("*.toml") if "part" in tomllib.loads(p.read_text("utf-8")))


def loop(*words: object, width: int = 80, piped: str | None = None) -> Result:
    """One run of the command, its output not a terminal; `piped` is its standard input."""
    runner = CliRunner(env={"COLUMNS": str(width)})
    return runner.invoke(app, [str(word) for word in words], input=piped)


def on_terminal(*words: object, **environment: str) -> str:
    """What a run prints on a terminal of 80 columns."""
    import pty  # not on every system

    ours, theirs = pty.openpty()
    bare = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    with subprocess.Popen(
        [sys.executable, "-m", "loop", *map(str, words)],
        stdin=theirs,
        stdout=theirs,
        env=bare | {"TERM": "xterm-256color", "COLUMNS": "80"} | environment,
    ):
        os.close(theirs)
        said = b""
        try:
            while part := os.read(ours, 65536):
                said += part
        except OSError:  # the other end is gone: this is how Linux ends a terminal
            pass
    os.close(ours)
    return said.decode()


def python(program: str) -> str:
    """What a fresh Python prints."""
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    return done.stdout


def told(path: Path, command: str = "check") -> list[str]:
    """The error lines for a refused file, each stripped of the file name it must start with."""
    result = loop(command, path)
    assert result.exit_code == 2
    assert result.stdout == ""
    lines = result.stderr.splitlines()
    assert all(line.startswith(f"{path}: ") for line in lines)
    return [line.removeprefix(f"{path}: ") for line in lines]


def changed(*changes: tuple[str, str]) -> str:
    """The good job with pieces of its text replaced, each at its first occurrence."""
    text = GOOD
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text
