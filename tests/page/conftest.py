"""A browser, and the page started as a person starts it."""

import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parent.parent.parent


@dataclass
class Started:
    """One run of `loop page`: its process and the address that it printed first."""

    process: "subprocess.Popen[str]"
    address: str

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self.address.rstrip("/").rpartition(":")[2])


def start_page(folder: Path, port: int = 0) -> Started:
    """Starts the page on a folder."""
    process = subprocess.Popen(
        [sys.executable, "-m", "loop", "page", str(folder), "--no-browser", "--port", str(port)],
        stdout=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    assert process.stdout is not None
    return Started(process, process.stdout.readline().strip())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with the examples' jobs."""
    for path in (ROOT / "examples").glob("*.toml"):
        shutil.copy(path, tmp_path)
    return tmp_path


@pytest.fixture
def started(folder: Path) -> Iterator[Started]:
    """The page, running."""
    run = start_page(folder)
    yield run
    run.process.terminate()
    run.process.wait(10)


@pytest.fixture
def tab(chromium: Any, started: Started) -> Iterator[Any]:
    """One page of the browser; an error in its console fails the test."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    context.close()
    assert not errors
