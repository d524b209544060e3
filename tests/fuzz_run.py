"""Runs the command on generated files, and reports what no command may do.

``python -m tests.fuzz_run SEED COUNT`` works in its own folder and prints one JSON: failures,
the slowest cases [s of processor time], and the peak memory of the process [bytes].
"""

import json
import os
import random
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path
from typing import Any

from typer.testing import CliRunner, Result

from loop.cli import app
from tests.fuzz_files import Table, broken, encoded, job, pump, readings
from tests.fuzz_values import document

# A case that takes longer than this [s] hangs.
_HANGS = 20
_COMMANDS = (
    "check",
    "check",
    "check",
    "check",
    "pumps",
    "pumps",
    "diagnose",
    "explain",
    "baseline",
)

# Processor time [s] that no case may exceed, and memory [bytes] of the whole run.
MOST_TIME, MOST_MEMORY = 8.0, 250e6


class Hung(Exception):
    """Raised inside a command that does not end."""


def _hang(signum: int, frame: Any) -> None:
    raise Hung


def _file(rng: random.Random, name: str, tables: Table) -> str:
    count = rng.choice((0, 0, 1, 1, 2, 5))
    Path(name).write_bytes(encoded(rng, broken(rng, tables, count)))
    return name


def arguments(seed: int) -> list[str]:
    """One call of the command; writes the files that it names into the current folder."""
    rng = random.Random(seed)
    command = rng.choice(_COMMANDS)
    if command == "pumps":
        extra = ["--json"] if rng.random() < 0.5 else []
        return [command, _file(rng, "pump.toml", pump(rng)), *extra]
    tables = job(rng)
    units = [unit["name"] for unit in tables["condenser"]]
    if rng.random() < 0.1:
        _file(rng, "pump.toml", pump(rng))
        for part in tables["part"]:
            if part["kind"] == "pump":
                part["curve"] = "pump.toml"
    if command in ("diagnose", "baseline"):
        Path("job.toml").write_text(document(tables), encoding="utf-8")
        words = [command, "job.toml", _file(rng, "readings.toml", readings(rng, units))]
        if command == "baseline":
            words += ["-o", "out.toml", "--json"]
        return words
    words = [command, _file(rng, "job.toml", tables)]
    if command == "check":
        words += [word for word in ("--json", "--strict") if rng.random() < 0.3]
        if rng.random() < 0.3:
            words += ["--units", rng.choice(("us", "si", "metric"))]
    return words


def wrong(words: list[str], result: Result) -> str | None:
    """What a finished call did that no call may do."""
    error = result.exception
    if error is not None and not isinstance(error, SystemExit):
        return "".join(traceback.format_exception(error))
    if result.exit_code not in ((0, 1, 2) if "--strict" in words else (0, 2)):
        return f"exit status {result.exit_code}"
    if "Traceback" in result.output:
        return result.output
    if result.exit_code == 2 and not result.stderr.strip():
        return "status 2 without a word"
    if result.exit_code == 0 and "--json" in words:
        json.loads(result.stdout, parse_constant=lambda name: 1 / 0)
    left = [name for name in os.listdir() if name.startswith(".")]
    if left or (Path("out.toml").exists() and result.exit_code != 0):
        return f"left behind: {left or 'out.toml'}"
    return None


def run(seed: int, count: int) -> dict[str, Any]:
    """Runs `count` cases from `seed` on, in the current folder."""
    runner = CliRunner()
    failures: list[dict[str, Any]] = []
    slowest: list[tuple[float, int]] = []
    statuses: Counter[str] = Counter()
    signal.signal(signal.SIGALRM, _hang)
    for number in range(seed, seed + count):
        Path("out.toml").unlink(missing_ok=True)
        words = arguments(number)
        began = time.process_time()
        signal.alarm(_HANGS)
        result = runner.invoke(app, words)
        signal.alarm(0)
        took = time.process_time() - began
        slowest = sorted([*slowest, (round(took, 3), number)], reverse=True)[:5]
        statuses[f"{words[0]} {result.exit_code}"] += 1
        told = wrong(words, result)
        if told is None and took > MOST_TIME:
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
    """Peak memory of this process [bytes].

    From the kernel's mark for this program alone: the figure of ``getrusage`` outlives the start
    of a program, and would include the process that started it.
    """
    status = Path("/proc/self/status")
    if status.exists():
        marks = dict(line.split(":", 1) for line in status.read_text().splitlines())
        return int(marks["VmHWM"].split()[0]) * 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def main(seed: int, count: int) -> None:
    """Prints what `run` found."""
    with tempfile.TemporaryDirectory() as folder:
        home = os.getcwd()
        os.chdir(folder)
        try:
            found = run(seed, count)
        finally:
            os.chdir(home)
    print(json.dumps(found, indent=1))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
