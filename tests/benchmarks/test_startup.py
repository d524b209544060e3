"""Each command as typed, over a Python that does nothing: ratios in one run."""

import os
import resource
import subprocess
import sys
from pathlib import Path
from statistics import median

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
KITTIWAKE = str(EXAMPLES / "kittiwake.toml")
READINGS = str(EXAMPLES / "readings-strainer.toml")
_RUNS = 9
# The command line, and its limit as a multiple of bare Python.
LIMITS: dict[tuple[str, ...], float] = {
    ("check", KITTIWAKE): 30,
    ("check", "--help"): 12,
    ("diagnose", KITTIWAKE, READINGS): 36,
    ("draw", KITTIWAKE, "-o", "figure.png"): 85,
    ("sheet", KITTIWAKE, "-o", "sheet.pdf"): 100,
}
COMPLETION, _COMPLETION_LIMIT = "loop check --", 15.0


def processor_time(folder: Path, *command: str, **environment: str) -> float:
    """Processor time [s] of one run of Python: unlike clock time it excludes other processes.

    Compiled modules and output files stay in `folder`.
    """
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    kept["PYTHONPYCACHEPREFIX"] = str(folder)
    kept["PYTHONPATH"] = str(EXAMPLES.parent)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *command],
        check=True,
        capture_output=True,
        env=kept | environment,
        cwd=folder,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def ratios(folder: Path, runs: int, *words: str, **environment: str) -> list[float]:
    """Processor times of runs of the command over those of ``python -c pass``.

    Pairs run back to back, so that a slowdown affects both.
    """
    typed = ("-m", "loop", *words)
    processor_time(folder, *typed, **environment)  # compiles the modules
    found = []
    for _ in range(runs):
        nothing = median(processor_time(folder, "-c", "pass") for _ in range(3))
        found.append(processor_time(folder, *typed, **environment) / nothing)
    return found


def completion(folder: Path, runs: int) -> list[float]:
    """The same for shell completion of an option."""
    last = str(len(COMPLETION.split()) - 1)
    asked = {"_LOOP_COMPLETE": "complete_bash", "COMP_WORDS": COMPLETION, "COMP_CWORD": last}
    return ratios(folder, runs, **asked)


@pytest.mark.extended
@pytest.mark.parametrize("words", LIMITS, ids=" ".join)
def test_a_command_takes_so_many_times_what_python_takes(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    found = ratios(tmp_path, _RUNS, *words)
    print(f"loop {words[0]}: {median(found):.1f} ({min(found):.1f} to {max(found):.1f})")
    assert median(found) <= LIMITS[words]


@pytest.mark.extended
def test_completion_is_quick(tmp_path: Path) -> None:
    found = completion(tmp_path, _RUNS)
    print(f"completion: {median(found):.1f} ({min(found):.1f} to {max(found):.1f})")
    assert median(found) <= _COMPLETION_LIMIT
