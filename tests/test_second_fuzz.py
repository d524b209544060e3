"""Hundreds of generated files for every command: an answer or a refusal, in time, in 250 MB.

The long run, 20,000 files for check and 2,000 for each other command:
``pytest tests/test_second_fuzz.py -m extended``.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from loop.job import JobError, parse_toml
from tests.second_fuzz.files import text_of
from tests.second_fuzz.loops import Boat
from tests.second_fuzz.run import BOUNDS, MOST_MEMORY

ROOT = Path(__file__).parent.parent
# How many of the default hundred files each command gets.
DEFAULT = {
    "check": 5, "pumps": 50, "baseline": 20, "diagnose": 5, "explain": 5, "draw": 6, "sheet": 3,
    "size": 2, "drill": 4,
}  # fmt: skip
# The long run's seeds are separate from these.
LONG = 1_000_000


def fuzz(seed: int, counts: dict[str, int]) -> None:
    """Runs cases in a separate process, so that their memory can be measured."""
    asked = [f"{command}={count}" for command, count in counts.items()]
    words = [sys.executable, "-m", "tests.second_fuzz.run", str(seed), *asked]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    for command, found in json.loads(done.stdout).items():
        print(command, found["statuses"], "slowest [s, seed]:", found["slowest"])
        assert found["failures"] == []
        assert found["memory"] < MOST_MEMORY


def test_every_command_has_its_share_of_a_hundred_files() -> None:
    assert DEFAULT.keys() == BOUNDS.keys()
    assert sum(DEFAULT.values()) == 100


def test_a_hundred_files() -> None:
    """In one process, which loads the libraries once for all."""
    fuzz(0, DEFAULT)


def test_nearly_all_the_jobs_are_jobs() -> None:
    """Otherwise mostly refusals would be tested, over and over."""
    refused = 0
    for seed in range(100):
        boat = Boat(seed)
        try:
            parse_toml(text_of(boat.rng, boat.job()))
        except JobError:
            refused += 1
    assert refused <= 5


@pytest.mark.extended
@pytest.mark.parametrize("chunk", range(40))
@pytest.mark.parametrize("command", BOUNDS)
def test_thousands_of_files(command: str, chunk: int) -> None:
    count = 500 if command == "check" else 50
    fuzz(LONG + chunk * count, {command: count})
