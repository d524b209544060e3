"""Commands compared with the same commands at an earlier commit: ratios in one run.

``python -m tests.benchmarks.releases COMMIT`` prints a Markdown table: processor time of a command
over that of the same command at the commit, in pairs run back to back; the median and, in
brackets, the least and the most. Below 1 is faster.
"""

import io
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path
from statistics import median

from tests.benchmarks.test_startup import EXAMPLES, KITTIWAKE, READINGS, processor_time

_PAIRS = 5
_DABCHICK = str(EXAMPLES / "dabchick.toml")
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", KITTIWAKE),
    ("check", _DABCHICK),
    ("explain", _DABCHICK),
    ("diagnose", KITTIWAKE, READINGS),
    ("draw", KITTIWAKE, "-o", "figure.png"),
    ("sheet", _DABCHICK, "-o", "sheet.pdf"),
    ("size", KITTIWAKE),
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


def ratios(before: Path, folder: Path, words: tuple[str, ...]) -> list[float]:
    """Processor times of a command over those of the same command at the earlier commit."""
    kept = folder / "now", folder / "before"
    for each in kept:
        each.mkdir(exist_ok=True)
    typed, there = ("-m", "loop", *words), {"PYTHONPATH": str(before)}
    processor_time(kept[0], *typed)  # compiles the modules
    processor_time(kept[1], *typed, **there)
    return [
        processor_time(kept[0], *typed) / processor_time(kept[1], *typed, **there)
        for _ in range(_PAIRS)
    ]


def main(commit: str) -> None:
    """Prints the table."""
    print("| command | over the same before |\n| --- | --- |")
    with tempfile.TemporaryDirectory() as name:
        before = state_at(commit, Path(name) / "state")
        for words in COMMANDS:
            found = ratios(before, Path(name), words)
            told = " ".join(Path(word).name for word in words).replace(" -o", " to")
            print(f"| `loop {told}` | {median(found):.2f} ({min(found):.2f} to {max(found):.2f}) |")


if __name__ == "__main__":
    main(sys.argv[1])
