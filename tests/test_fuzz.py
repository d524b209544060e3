"""Garbage in job, pump and readings files: reported in words, at once, never with a traceback.

Known edge cases are here; files made at random, 20,000 cases:
``pytest tests/test_fuzz.py -m extended``, and by the hundred in `test_second_fuzz`.
"""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from loop.cli import app
from tests.fuzz_extremes import jobs, pumps
from tests.fuzz_run import MOST_MEMORY, arguments

ROOT = Path(__file__).parent.parent
JOBS, PUMPS = dict(jobs()), dict(pumps())

# Valid files whose answers take long: the largest that is calculated at all.
LARGEST = {"branches within the limit": 8.0, "tees within the limit": 8.0, "strainers": 12.0}
# The most costly of them; by default a fifth as many parts represents it.
DEAR = {"strainers": pytest.param("strainers", marks=pytest.mark.extended)}


def fuzz(seed: int, count: int) -> None:
    """Runs cases in a separate process, so that their memory can be measured."""
    words = [sys.executable, "-m", "tests.fuzz_run", str(seed), str(count)]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    print(found["statuses"], "slowest [s, seed]:", found["slowest"])
    assert found["failures"] == []
    assert found["memory"] < MOST_MEMORY
    ended = {words.split()[1] for words in found["statuses"]}
    assert {"0", "2"} <= ended


@pytest.mark.extended
@pytest.mark.parametrize("chunk", range(20))
def test_twenty_thousand_files(chunk: int) -> None:
    fuzz(1_000 * (1 + chunk), 1_000)


@pytest.mark.parametrize("name", [DEAR.get(name, name) for name in JOBS])
def test_a_job_at_the_edge_is_refused_or_calculated(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    content = JOBS[name]
    Path("job.toml").write_bytes(content if isinstance(content, bytes) else content.encode())
    began = time.process_time()
    done = CliRunner().invoke(app, ["check", "job.toml"])
    took = time.process_time() - began
    assert isinstance(done.exception, SystemExit | None), done.exception
    assert done.exit_code in (0, 2)
    assert took < LARGEST.get(name, 4.0)
    assert len(done.stderr.splitlines()) < 250
    assert all(line.startswith("job.toml: ") for line in done.stderr.splitlines())


@pytest.mark.parametrize("name", PUMPS)
def test_a_pump_at_the_edge_is_refused_or_shown(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("pump.toml").write_text(PUMPS[name], encoding="utf-8")
    began = time.process_time()
    done = CliRunner().invoke(app, ["pumps", "pump.toml"])
    assert time.process_time() - began < 1.5
    assert isinstance(done.exception, SystemExit | None), done.exception
    assert done.exit_code in (0, 2)


@pytest.mark.parametrize("seed", [8, 13, 34])
def test_the_command_itself_ends_as_it_does_inside_a_process(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words = arguments(seed)
    inside = CliRunner().invoke(app, words)
    Path("out.toml").unlink(missing_ok=True)
    done = subprocess.run(
        [sys.executable, "-m", "loop", *words],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        check=False,
    )
    assert done.returncode == inside.exit_code
    assert b"Traceback" not in done.stderr


def test_the_limits_themselves_are_allowed() -> None:
    """A limit written as text is not refused for the last digit of its float."""
    for text in ("99.9 %", "0 %"):
        content = JOBS["blocked"]
        assert isinstance(content, str)
        from loop.job import parse_toml

        assert parse_toml(content.replace("99.9 %", text)).title
