"""The command's streams: full, closed by the reader, without width; and a termination signal."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from loop.words.check_report import SAY
from tests.command_line import KITTIWAKE, loop

ROOT = Path(__file__).parent.parent
LOOP = [sys.executable, "-m", "loop"]
ANSWERS = [
    ["check", str(KITTIWAKE)],
    ["pumps"],
    ["quiz", "--list"],
    ["check", str(KITTIWAKE), "--json"],
]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize(
    "words",
    [["--version"], ["--help"], ["check", "--help"], *ANSWERS],
    ids=lambda words: " ".join(words[:2]),
)
def test_output_without_room_is_told_in_a_line(words: list[str]) -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            LOOP + words, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert done.stderr == "standard output: No space left on device\n"


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
@pytest.mark.parametrize("words", ANSWERS, ids=lambda words: " ".join(words[:2]))
def test_a_reader_that_has_seen_enough_is_no_mistake(words: list[str]) -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    done = subprocess.run(
        LOOP + words, cwd=ROOT, stdout=theirs, stderr=subprocess.PIPE, text=True, check=False
    )
    os.close(theirs)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("words", [["check", KITTIWAKE], ["pumps"]])
def test_a_terminal_that_says_it_has_no_columns_is_taken_for_a_common_one(
    words: list[object],
) -> None:
    assert loop(*words, width=0).stdout == loop(*words, width=80).stdout


@pytest.mark.parametrize("width", [1, 20])
def test_a_terminal_too_narrow_for_the_tables_still_gets_all_of_them(width: int) -> None:
    shown = loop("check", KITTIWAKE, width=width).stdout
    assert shown == loop("check", KITTIWAKE, width=32).stdout
    for word in (SAY("head-part"), "strainer", "condenser", SAY("head-share")):
        assert word in shown


_WRITE_FOR_EVER = """
import sys
from loop.cli.options import write_whole
from loop.cli.streams import usable
usable()
print(flush=True)
while True:
    write_whole(sys.argv[1], "a" * 3_000_000)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a stop there is a kill")
@pytest.mark.parametrize("delay", [0.05, 0.063, 0.071])
def test_a_stop_from_outside_leaves_one_whole_file_and_no_other(
    delay: float, tmp_path: Path
) -> None:
    target = tmp_path / "sheet.html"
    writer = subprocess.Popen(
        [sys.executable, "-c", _WRITE_FOR_EVER, str(target)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert writer.stdout is not None
    writer.stdout.readline()
    with pytest.raises(subprocess.TimeoutExpired):
        writer.wait(delay)
    writer.send_signal(signal.SIGTERM)
    _, errors = writer.communicate(timeout=30)
    assert writer.returncode == 128 + signal.SIGTERM
    assert errors == ""
    assert [path.name for path in tmp_path.iterdir()] in ([], ["sheet.html"])
    assert not target.exists() or target.stat().st_size == 3_000_000


def test_a_home_that_takes_no_files_is_not_spoken_of(tmp_path: Path) -> None:
    nowhere = str(tmp_path / "file" / "home")
    (tmp_path / "file").write_text("not a folder")
    bare = {k: v for k, v in os.environ.items() if k != "MPLCONFIGDIR"}
    homes = dict.fromkeys(("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"), nowhere)
    words = ["draw", str(KITTIWAKE), "--figure", "heads", "-o", str(tmp_path / "heads.png")]
    done = subprocess.run(
        LOOP + words, cwd=ROOT, env=bare | homes, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
