"""Paths that are no plain files, disks that are full or locked, and commands that are killed."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from loop.cli import app
from loop.plain_text import obeyed
from loop.pumps.writing import pump_text
from loop.tomlfile import quoted, tables
from tests.fuzz_values import document
from tests.loops import plain_loop

ROOT = Path(__file__).parent.parent
KITTIWAKE = ROOT / "examples" / "kittiwake.toml"
READINGS = ROOT / "examples" / "readings-clean.toml"


def loop(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


def refused(done: Result, words: str) -> None:
    """Ended with status 2 and one line that holds these words."""
    assert isinstance(done.exception, SystemExit), done.exception
    assert done.exit_code == 2
    (line,) = done.stderr.splitlines()
    assert words in line


@pytest.fixture(params=["pipe", "zero", "null", "folder", "link to a folder", "link to itself"])
def odd(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A path that is there and is no file."""
    path = tmp_path / "job.toml"
    if request.param == "pipe":
        os.mkfifo(path)
    elif request.param in ("zero", "null"):
        path.symlink_to(f"/dev/{request.param}")
    elif request.param == "folder":
        path.mkdir()
    else:
        path.symlink_to(tmp_path if request.param == "link to a folder" else path)
    return path


def test_what_is_no_file_is_never_waited_on_as_a_job(odd: Path) -> None:
    refused(loop("check", odd), "job.toml: ")


def test_nor_as_a_pump(odd: Path) -> None:
    refused(loop("pumps", odd), "job.toml: ")


def test_nor_as_readings_or_a_kept_drill(odd: Path) -> None:
    refused(loop("diagnose", KITTIWAKE, odd), "job.toml: ")
    refused(loop("drill", "--replay", odd), "job.toml: ")


def test_nor_as_the_pump_of_a_job(odd: Path) -> None:
    data = plain_loop()
    data["part"][5]["curve"] = odd.name
    job = odd.parent / "loop.toml"
    job.write_text(document(data), encoding="utf-8")
    refused(loop("check", job), f"part 6 (pump) curve: pump file '{odd.name}'")


@pytest.mark.parametrize(
    "name", ["no\0name", "a" * 300, "none/job.toml", f"{KITTIWAKE}/job.toml", "", "\udcff.toml"]
)
def test_a_name_that_no_file_can_have_is_told(name: str) -> None:
    done = loop("check", name)
    assert isinstance(done.exception, SystemExit), done.exception
    assert done.exit_code == 2


def test_a_link_to_a_job_is_a_job_and_its_pump_lies_beside_the_link(tmp_path: Path) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(KITTIWAKE)
    assert loop("check", link, "--json").stdout == loop("check", KITTIWAKE, "--json").stdout


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read and write everything")
def test_a_locked_file_and_a_locked_folder_are_told(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_bytes(KITTIWAKE.read_bytes())
    job.chmod(0)
    refused(loop("check", job), "cannot be read: Permission denied")
    tmp_path.chmod(0o500)
    refused(loop("new", tmp_path / "new.toml", "--yes"), "cannot be written: Permission denied")
    tmp_path.chmod(0o700)


_WRITE_FOR_EVER = """
import sys
from loop.cli.options import write_whole
while True:
    for letter in "ab":
        write_whole(sys.argv[1], letter * 3_000_000)
        print(flush=True)
"""


@pytest.mark.parametrize("delay", [0.0, 0.003, 0.01, 0.02])
def test_a_command_killed_while_it_writes_leaves_one_whole_file(
    delay: float, tmp_path: Path
) -> None:
    target = tmp_path / "sheet.html"
    writer = subprocess.Popen(
        [sys.executable, "-c", _WRITE_FOR_EVER, str(target)], cwd=ROOT, stdout=subprocess.PIPE
    )
    assert writer.stdout is not None
    writer.stdout.readline()
    time.sleep(delay)
    writer.kill()
    writer.wait()
    content = target.read_text("utf-8")
    assert len(content) == 3_000_000
    assert len(set(content)) == 1


def test_a_command_stopped_from_the_keyboard_leaves_nothing(tmp_path: Path) -> None:
    words = ["size", str(KITTIWAKE), "--draws", "100000", "--figure", str(tmp_path / "odds.png")]
    running = subprocess.Popen(
        [sys.executable, "-m", "loop", *words], cwd=ROOT, stderr=subprocess.PIPE, text=True
    )
    # Again, as a person would do if the first signal comes before Python can handle it.
    for _ in range(6):
        time.sleep(3)
        running.send_signal(signal.SIGINT)
        with suppress(subprocess.TimeoutExpired):
            _, errors = running.communicate(timeout=10)
            break
    assert running.returncode == 130
    assert "Traceback" not in errors
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 kB of its own; skipped where none can be mounted."""
    place = tmp_path / "disk"
    place.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)]
    if subprocess.run(words, capture_output=True, check=False).returncode != 0:
        pytest.skip("no right to mount a disk here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.extended
@pytest.mark.parametrize(
    "words",
    [
        ("baseline", KITTIWAKE, READINGS, "-o"),
        ("draw", KITTIWAKE, "-o"),
        ("sheet", KITTIWAKE, "-o"),
        ("new", "--yes", "--force"),
    ],
    ids=lambda words: str(words[0]),
)
def test_a_full_disk_is_told_and_the_old_file_stands(
    words: tuple[str | Path, ...], disk: Path
) -> None:
    ending = {"draw": "png", "sheet": "pdf"}.get(str(words[0]), "toml")
    target = disk / f"target.{ending}"
    target.write_text("before")
    (disk / "ballast").write_bytes(b"x" * (os.statvfs(disk).f_bavail * os.statvfs(disk).f_frsize))
    refused(loop(*words, target), "cannot be written: No space left on device")
    assert target.read_text() == "before"
    assert sorted(path.name for path in disk.iterdir()) == ["ballast", target.name]


@pytest.mark.extended
def test_a_disk_that_is_read_only_is_told(disk: Path) -> None:
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    refused(loop("new", disk / "new.toml", "--yes"), "cannot be written: Read-only file system")
    assert list(disk.iterdir()) == []


@given(st.text(st.characters(exclude_categories=())))
@example("a\x1b[0m\u00a0b\U000e0001\nc\td\ud800")
def test_a_text_that_we_write_is_one_that_we_read(text: str) -> None:
    """But for signs that no file may hold."""
    kept = "".join(sign for sign in text if sign in "\n\t" or not obeyed(sign))
    assert tables(f"text = {quoted(text)}", "job") == {"text": kept}
    made = pump_text({"name": text, "drive": "dc", "curve": {}})
    assert tables(made, "pump file")["name"] == kept
