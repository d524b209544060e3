"""No command overwrites a file that a person wrote, unless told to; what it wrote itself it may."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from loop.words.commands import SAY
from loop.words.course import SAY as COURSE
from tests.command_line import EXAMPLES, GOOD, KITTIWAKE, loop

CLEAN = EXAMPLES / "readings-clean.toml"
# Commands that write a file to which a person may have added, up to its name.
WRITERS = {
    "new": ["new", "--yes", "FILE"],
    "pumps": ["pumps", "--runs-on", "12 V DC", "--most-flow", "300 gal/h", "--most-head", "9 ft",
              "--new", "FILE"],
    "size": ["size", KITTIWAKE, "--draws", "10", "--pumps", "demo-ac-350", "--bores", "3/4 in",
             "--write", "FILE"],
    "sweep": ["sweep", KITTIWAKE, "--vary", "part[8].length=8 ft", "--csv", "FILE"],
    "baseline": ["baseline", KITTIWAKE, CLEAN, "-o", "FILE"],
    "diagnose": ["diagnose", KITTIWAKE, "stream=weak", "--record", "FILE"],
    "faults": ["faults", EXAMPLES, "-o", "FILE"],
    "drill": ["drill", "--seed", "1", "--log", "FILE"],
}  # fmt: skip


def write(command: str, file: Path, *more: object) -> tuple[int, str]:
    """Status of the command that writes this file, and what it complains of."""
    words = [file if word == "FILE" else word for word in WRITERS[command]]
    done = loop(*words, *more, piped="stop\n")
    return done.exit_code, done.stderr


@pytest.mark.parametrize("command", WRITERS)
def test_a_file_of_a_person_stays_unless_forced(command: str, tmp_path: Path) -> None:
    file = tmp_path / "boat.toml"
    file.write_text("# mine\n", "utf-8")
    assert write(command, file) == (2, f"{SAY('taken', file=str(file))}\n")
    assert file.read_text("utf-8") == "# mine\n"
    assert write(command, file, "--force")[0] == 0
    assert file.read_text("utf-8") != "# mine\n"
    assert write(command, tmp_path / "new.toml")[0] == 0


@pytest.mark.parametrize("command", ["baseline", "diagnose"])
def test_the_job_itself_takes_a_visit_and_keeps_its_text(command: str, tmp_path: Path) -> None:
    job = tmp_path / "boat.toml"
    job.write_text(f"# mine\n{GOOD}", "utf-8")
    words = [job if word in (KITTIWAKE, "FILE") else word for word in WRITERS[command]]
    assert loop(*words).exit_code == 0
    kept = job.read_text("utf-8")
    assert kept.startswith("# mine\n")
    assert "[[visit]]" in kept


def test_a_call_is_not_kept_in_a_file_with_comments(tmp_path: Path) -> None:
    file = tmp_path / "call.toml"
    text = 'stream = "weak"  # so Ann says\n'
    file.write_text(text, "utf-8")
    done = loop("call", KITTIWAKE, "-f", file, piped="flow=150 gal/h\ndone\n")
    assert (done.exit_code, file.read_text("utf-8")) == (2, text)
    assert done.stderr == f"{SAY('call-comments', file=str(file))}\n"
    file.write_text('note = "cabin #2"\nstream = "weak"\n', "utf-8")
    assert loop("call", KITTIWAKE, "-f", file, piped="flow=150 gal/h\ndone\n").exit_code == 0
    assert 'note = "cabin #2"' in file.read_text("utf-8")


def test_a_call_asks_nothing_that_it_cannot_keep(tmp_path: Path) -> None:
    done = loop("call", KITTIWAKE, "-f", tmp_path / "none" / "call.toml", piped="weak\n")
    assert (done.exit_code, done.stdout) == (2, "")


def test_a_table_of_a_sweep_gives_way_to_the_next(tmp_path: Path) -> None:
    file = tmp_path / "flows.csv"
    assert write("sweep", file)[0] == 0
    first = file.read_text("utf-8")
    assert write("sweep", file, "--vary", "pump=demo-ac-250, demo-ac-500")[0] == 0
    assert len(file.read_text("utf-8").splitlines()) > len(first.splitlines())
    file.write_text("part[8].length,my own notes\n", "utf-8")
    assert write("sweep", file)[0] == 2


@pytest.mark.skipif(not os.path.exists("/dev/stdout"), reason="this system has no such device")
def test_a_table_goes_into_a_pipe() -> None:
    command = [sys.executable, "-m", "loop", *map(str, WRITERS["sweep"][:-1]), "/dev/stdout"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert ",total_flow [gal/h]," in done.stdout


@pytest.mark.parametrize(
    ("option", "ending"), [("picture", ".svg"), ("worksheet", ".pdf"), ("answers", ".pdf")]
)
def test_a_file_of_a_lesson_is_named_for_what_it_holds(
    option: str, ending: str, tmp_path: Path
) -> None:
    file = tmp_path / "lesson.txt"
    file.write_text("mine", "utf-8")
    done = loop("lesson", 1, f"--{option}", file)
    assert done.exit_code == 2
    told = COURSE("lesson-ending", option=f"--{option}", file=str(file), ending=ending)
    assert done.stderr == f"{told}\n"
    assert file.read_text("utf-8") == "mine"
