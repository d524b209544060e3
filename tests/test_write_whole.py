"""Files are written whole or not at all."""

import os
import stat
import sys
import threading
from collections.abc import Callable
from itertools import count
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from loop.cli.options import write_whole
from loop.whole_file import put_whole
from loop.words.commands import SAY


def test_text_and_bytes_are_written_and_nothing_else(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.txt", "85 °F\n")
    write_whole(str(tmp_path / "b.bin"), b"\x00\xff")
    assert (tmp_path / "a.txt").read_bytes() == "85 °F\n".encode()
    assert (tmp_path / "b.bin").read_bytes() == b"\x00\xff"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.txt", "b.bin"]


def test_a_file_keeps_its_mode_and_a_new_one_gets_the_usual(tmp_path: Path) -> None:
    old, plain, new = tmp_path / "old", tmp_path / "plain", tmp_path / "new"
    old.write_text("before")
    old.chmod(0o640)
    plain.write_text("opened as usual")
    write_whole(old, "after")
    write_whole(new, "after")
    assert stat.S_IMODE(old.stat().st_mode) == 0o640
    assert new.stat().st_mode == plain.stat().st_mode


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    target, link = tmp_path / "target", tmp_path / "link"
    target.write_text("before")
    link.symlink_to(target)
    write_whole(link, "after")
    assert link.is_symlink()
    assert target.read_text() == "after"


@pytest.mark.parametrize("error", [KeyboardInterrupt, OSError(28, "No space left on device")])
def test_an_interrupted_write_leaves_the_old_file_and_no_other(
    error: BaseException, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "job.toml"
    file.write_text("before")

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(KeyboardInterrupt if error is KeyboardInterrupt else OSError):
        write_whole(file, "after")
    assert [path.name for path in tmp_path.iterdir()] == ["job.toml"]
    assert file.read_text() == "before"


def stopped_at(line: int) -> Callable[[FrameType, str, Any], Any]:
    """Traces `put_whole`, and interrupts it as from the keyboard before its nth line."""
    left = iter(range(line))

    def trace(frame: FrameType, event: str, _: Any) -> Any:
        if frame.f_code is not put_whole.__code__:
            return None
        if event == "line" and next(left, None) == line - 1:
            raise KeyboardInterrupt
        return trace

    return trace


def test_a_stop_at_any_line_leaves_one_whole_file_and_no_other(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    stops = 0
    for line in count(1):
        file.write_text("before")
        before = sys.gettrace()
        sys.settrace(stopped_at(line))
        try:
            put_whole(file, b"after")
            break
        except KeyboardInterrupt:
            stops += 1
        finally:
            sys.settrace(before)
        assert [path.name for path in tmp_path.iterdir()] == ["job.toml"], line
        assert file.read_text() in ("before", "after")
    assert stops > 6


@pytest.mark.parametrize(
    ("where", "why"),
    [("none/job.toml", "No such file or directory"), (".", "Is a directory")],
)
def test_a_place_that_takes_no_file_is_told(where: str, why: str, tmp_path: Path) -> None:
    place = tmp_path / where
    with pytest.raises(OSError, match=SAY("cannot-write", why=why)) as raised:
        write_whole(place, "text")
    assert raised.value.filename == str(place)


def test_a_pipe_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    read: list[bytes] = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_bytes()))
    reader.start()
    write_whole(pipe, "text")
    reader.join(5)
    assert read == [b"text"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_file_that_may_not_be_written_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even if its folder would allow another file to replace it."""
    kept = tmp_path / "kept.toml"
    kept.write_text("old", encoding="utf-8")
    kept.chmod(0o444)
    # The superuser may write anything; any other user gets an error from the system.
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path).stat().st_mode & 0o200 != 0)
    with pytest.raises(OSError, match="Permission denied"):
        write_whole(kept, "new")
    assert kept.read_text("utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["kept.toml"]
