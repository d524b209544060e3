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
    """One run of `loop page`: its process, the address that it printed first, and its folder."""

    process: "subprocess.Popen[str]"
    address: str
    folder: Path

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self.address.rstrip("/").rpartition(":")[2])

    def end(self) -> None:
        """Stops it."""
        self.process.terminate()
        self.process.wait(20)


def start_page(folder: Path, port: int = 0, *options: str) -> Started:
    """Starts the page on a folder."""
    process = subprocess.Popen(
        [sys.executable, "-m", "loop", "page", str(folder), "--no-browser", "--port", str(port),
         *options],
        stdout=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    assert process.stdout is not None
    return Started(process, process.stdout.readline().strip(), folder)


def examples_in(folder: Path) -> Path:
    """A folder with copies of the examples' jobs."""
    for path in (ROOT / "examples").glob("*.toml"):
        shutil.copy(path, folder)
    return folder


@pytest.fixture(scope="session")
def started(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Started]:
    """The page, running for all tests; each test that writes uses its own file names."""
    run = start_page(examples_in(tmp_path_factory.mktemp("page")))
    yield run
    run.end()


@pytest.fixture
def folder(started: Started) -> Path:
    """The folder of the running page."""
    return started.folder


@pytest.fixture
def own_job(started: Started, request: pytest.FixtureRequest) -> str:
    """The name of one test's own copy of kittiwake."""
    name = f"{request.node.name[:40].replace('[', ' ').replace(']', '')}.toml"
    shutil.copy(ROOT / "examples" / "kittiwake.toml", started.folder / name)
    return name


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
