"""Runs each command on generated files, and reports what no command may do.

``python -m tests.second_fuzz.run SEED COMMAND=COUNT …`` works in its own folder and prints one
JSON: for each command failures, the slowest cases [s of processor time], and the peak memory until
then [bytes].
"""

import json
import os
import random
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from typer.testing import CliRunner, Result

from loop.cli import app
from tests.second_fuzz.files import damaged, pump, readings, spoilt, text_of
from tests.second_fuzz.loops import Boat

MOST_MEMORY = 250e6
# Limit of processor time [s] for a command on any file: at most twice the 2 s for check and the
# 5 s for explanations, figures and sheets, since a shared processor counts more time for the same
# work. A diagnosis and a sizing of networks with coupled tees and legs that hold air call their
# solver a thousand times.
BOUNDS = {
    "check": 4.0, "pumps": 1.0, "baseline": 2.0, "diagnose": 10.0, "explain": 10.0, "draw": 10.0,
    "sheet": 10.0, "size": 20.0, "drill": 5.0,
}  # fmt: skip
# After this many times the limit a command counts as hung.
_HANGS = 6
_FIGURES = ("curves", "profile", "heads", "fouling", "drift", "curve")


class Hung(Exception):
    """Raised inside a command that does not end."""


def _hang(signum: int, frame: Any) -> None:
    raise Hung


def _written(rng: random.Random, file: str, tables: dict[str, Any], share: float) -> str:
    """A file of these tables, a `share` of such files with mistakes; returns its name."""
    wrong = rng.choice((1, 1, 2, 6)) if rng.random() < share else 0
    text = text_of(rng, damaged(rng, tables, wrong) if wrong else tables)
    Path(file).write_bytes(spoilt(rng, text) if wrong else text.encode("utf-8", "replace"))
    return file


def arguments(command: str, seed: int) -> tuple[list[str], str]:
    """One call of a command and its typed input; writes the files that it names."""
    boat = Boat(seed)
    rng, tables = boat.rng, boat.job()
    if command == "pumps":
        file = _written(rng, "pump.toml", pump(rng), 0.4)
        return [command, file, *(["--json"] if rng.random() < 0.3 else [])], ""
    if rng.random() < 0.15:
        _written(rng, "pump.toml", pump(rng), 0.1)
        for part in tables["part"]:
            if part["kind"] == "pump":
                part["curve"] = "pump.toml"
    job = _written(rng, "job.toml", tables, 0.3 if command == "check" else 0.05)
    units = ["--units", rng.choice(("us", "si"))] if rng.random() < 0.3 else []
    return _WORDS[command](rng, [command, job, *units], boat), "?\n\nstop\ngive up\n"


def _check(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    return [*words, *(["--json"] if rng.random() < 0.4 else [])]


def _explain(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    return [
        *words,
        *(["--part", rng.choice(("1", "4", "9.2.3", "0", "x"))] if rng.random() < 0.2 else []),
    ]


def _draw(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    branch = ["--branch", rng.choice(sorted(boat.taken))] if rng.random() < 0.1 else []
    return [
        *words,
        "--figure",
        rng.choice(_FIGURES),
        *branch,
        "-o",
        f"out.{rng.choice(('svg', 'png', 'pdf'))}",
    ]


def _sheet(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    return [*words, "-o", f"out.{rng.choice(('html', 'pdf'))}"]


def _diagnose(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    if rng.random() < 0.2:
        return [*words, "--drift"]
    more = [
        *(["--json"] if rng.random() < 0.4 else []),
        *(["--record", "out.toml"] if rng.random() < 0.3 else []),
    ]
    return [*words, _written(rng, "readings.toml", readings(rng, boat.units), 0.2), *more]


def _baseline(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    file = _written(rng, "readings.toml", readings(rng, boat.units), 0.1)
    return [*words, file, "-o", rng.choice(("out.toml", "job.toml")), "--json"]


def _size(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    bores = rng.choice(("3/4 in", "1/2 in, 3/4 in", "16 mm, 25 mm"))
    more = ["--all"] if rng.random() < 0.3 else ["--json"]
    return [*words, "--bores", bores, "--pumps", "demo-ac-350, demo-ac-700", "--draws", "20", *more]


def _drill(rng: random.Random, words: list[str], boat: Boat) -> list[str]:
    return [*words, "--seed", str(rng.randint(0, 99)), "--level", rng.choice("123")]


_WORDS: dict[str, Callable[[random.Random, list[str], Boat], list[str]]] = {
    "check": _check, "explain": _explain, "draw": _draw, "sheet": _sheet, "diagnose": _diagnose,
    "baseline": _baseline, "size": _size, "drill": _drill,
}  # fmt: skip


def wrong(words: list[str], result: Result) -> str | None:
    """What a finished call did that no call may do."""
    error = result.exception
    if error is not None and not isinstance(error, SystemExit):
        return "".join(traceback.format_exception(error))
    if result.exit_code not in (0, 2):
        return f"exit status {result.exit_code}"
    if "Traceback" in result.output:
        return result.output
    if result.exit_code == 2 and not result.stderr.strip():
        return "status 2 without a word"
    if result.exit_code == 0 and "--json" in words:
        json.loads(result.stdout, parse_constant=lambda name: 1 / 0)
    left = [name for name in os.listdir() if name.startswith(".")]
    made = [name for name in os.listdir() if name.startswith("out.")]
    if left or (made and result.exit_code != 0):
        return f"left behind: {left or made}"
    return None


def run(command: str, seed: int, count: int) -> dict[str, Any]:
    """Runs `count` cases of a command from `seed` on, in the current folder."""
    failures: list[dict[str, Any]] = []
    slowest: list[tuple[float, int]] = []
    statuses: Counter[str] = Counter()
    signal.signal(signal.SIGPROF, _hang)
    warnings.simplefilter("error")  # nor may a library warn of what it was given
    for number in range(seed, seed + count):
        for file in Path().iterdir():
            file.unlink()
        words, typed = arguments(command, number)
        began = time.process_time()
        # In processor time: a busy machine is not a hang.
        signal.setitimer(signal.ITIMER_PROF, _HANGS * BOUNDS[command])
        result = CliRunner().invoke(app, words, input=typed)
        signal.setitimer(signal.ITIMER_PROF, 0)
        took = time.process_time() - began
        slowest = sorted([*slowest, (round(took, 3), number)], reverse=True)[:5]
        statuses[str(result.exit_code)] += 1
        told = wrong(words, result)
        if told is None and took > BOUNDS[command]:
            told = f"took {took:.2f} s"
        if told is not None:
            failures.append({"seed": number, "arguments": words, "told": told[-3000:]})
    return {
        "failures": failures,
        "slowest": slowest,
        "statuses": dict(sorted(statuses.items())),
        "memory": most_memory(),
    }


def most_memory() -> int:
    """Peak memory of this process [bytes]; 0 if the system does not report it."""
    status = Path("/proc/self/status")
    if not status.exists():
        return 0
    marks = dict(line.split(":", 1) for line in status.read_text().splitlines())
    return int(marks["VmHWM"].split()[0]) * 1024


def main(seed: int, counts: dict[str, int]) -> None:
    """Prints the results of `run` for this many cases of each command."""
    with tempfile.TemporaryDirectory() as folder:
        home = os.getcwd()
        os.chdir(folder)
        try:
            found = {command: run(command, seed, count) for command, count in counts.items()}
        finally:
            os.chdir(home)
    print(json.dumps(found, indent=1))


if __name__ == "__main__":
    main(int(sys.argv[1]), {name: int(n) for name, n in (word.split("=") for word in sys.argv[2:])})
