"""Commands compared with the same commands at an earlier commit: ratios in one run.

``python -m tests.benchmarks.releases COMMIT`` prints a Markdown table: processor time of a command
over that of the same command at the commit, and time until its answer, in pairs run back to back;
the median and, in brackets, the least and the most. Below 1 is faster. Both read the examples of
the commit, which later states understand too.
"""

import io
import subprocess
import sys
import tarfile
import tempfile
import time
from pathlib import Path
from statistics import median

from tests.benchmarks.test_startup import EXAMPLES, processor_time

_PAIRS = 5
COMMANDS = (
    "check kittiwake.toml",
    "check dabchick.toml",
    "explain dabchick.toml",
    "diagnose kittiwake.toml readings-strainer.toml",
    "draw kittiwake.toml -o figure.png",
    "sheet dabchick.toml -o sheet.pdf",
    "size kittiwake.toml",
    "size razorbill.toml",
)


def state_at(commit: str, folder: Path) -> Path:
    """The files of a commit, written into a folder."""
    root = EXAMPLES.parent
    packed = subprocess.run(
        ["git", "archive", "--format=tar", commit], cwd=root, capture_output=True, check=True
    ).stdout
    with tarfile.open(fileobj=io.BytesIO(packed)) as files:
        files.extractall(folder, filter="data")
    return folder


def ratios(before: Path, folder: Path, command: str) -> list[tuple[float, float]]:
    """Processor and clock times of a command over those of the same at the earlier commit."""
    kept = folder / "now", folder / "before"
    for each in kept:
        each.mkdir(exist_ok=True)
    words = [
        str(before / "examples" / word) if word.endswith(".toml") else word
        for word in command.split()
    ]
    typed, there = ("-m", "loop", *words), {"PYTHONPATH": str(before)}
    processor_time(kept[0], *typed)  # compiles the modules
    processor_time(kept[1], *typed, **there)
    found = []
    for _ in range(_PAIRS):
        began = time.perf_counter()
        now = processor_time(kept[0], *typed)
        between = time.perf_counter()
        then = processor_time(kept[1], *typed, **there)
        found.append((now / then, (between - began) / (time.perf_counter() - between)))
    return found


def main(commit: str) -> None:
    """Prints the table."""
    print("| command | processor time over the same before | until the answer |")
    print("| --- | --- | --- |")
    with tempfile.TemporaryDirectory() as name:
        before = state_at(commit, Path(name) / "state")
        for command in COMMANDS:
            both = zip(*ratios(before, Path(name), command), strict=True)
            told = " | ".join(f"{median(of):.2f} ({min(of):.2f} to {max(of):.2f})" for of in both)
            print(f"| `loop {command.replace(' -o', ' to')}` | {told} |")


if __name__ == "__main__":
    main(sys.argv[1])
