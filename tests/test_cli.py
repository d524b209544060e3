"""The command as a whole: its list, help, completion, and behavior without an output."""

import gc
import io
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from loop.cli import COMMANDS, main
from loop.cli.output import Unpadded
from tests.command_line import KITTIWAKE, loop


def test_list_of_commands_names_each_with_its_line() -> None:
    shown = loop("--help").stdout
    for name, summary in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(summary)}$", shown, re.MULTILINE)


def test_garbage_is_looked_for_again_once_a_command_is_loaded(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """At exit existing objects are skipped, so that the program ends at once."""
    monkeypatch.setattr(sys, "argv", ["loop", "pumps"])
    try:
        with pytest.raises(SystemExit):
            main()
        assert gc.isenabled()
        assert gc.get_freeze_count() > 0
    finally:
        gc.unfreeze()
        gc.enable()
    assert "demo-" in capsys.readouterr().out


def test_a_stream_closed_before_what_wraps_it_is_no_error() -> None:
    stream = io.TextIOWrapper(io.BytesIO(), "utf-8")
    wrapped = Unpadded(stream)
    stream.close()
    wrapped.close()


def test_version_is_told() -> None:
    assert re.fullmatch(r"loop \d+\.\d+\.\d+\n", loop("--version").stdout)


def test_a_command_misspelt_is_told_with_the_nearest() -> None:
    result = loop("chek", KITTIWAKE)
    assert result.exit_code == 2
    assert "No such command 'chek'" in result.stderr
    assert "'check'" in result.stderr


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_script_is_shown(shell: str) -> None:
    environment = {**os.environ, "_TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "loop", "--show-completion", shell],
        capture_output=True,
        text=True,
        check=True,
        env=environment,
    )
    assert "_LOOP_COMPLETE" in done.stdout


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("loop ch", ["check"]),
        ("loop check --st", ["--strict"]),
        ("loop pumps demo-dc24", ["demo-dc24-450", "demo-dc24-900"]),
        ("loop new --pump demo-ac-35", ["demo-ac-350"]),
    ],
)
def test_completion_of_commands_options_and_pumps(typed: str, expected: list[str]) -> None:
    environment = {
        **os.environ,
        "_LOOP_COMPLETE": "complete_bash",
        "COMP_WORDS": typed,
        "COMP_CWORD": str(len(typed.split()) - 1),
    }
    done = subprocess.run(
        [sys.executable, "-m", "loop"], capture_output=True, text=True, env=environment, check=False
    )
    assert done.stdout.split() == expected


def test_an_output_without_unicode_still_gets_its_answer() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "loop", "check", str(KITTIWAKE)],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        check=False,
    )
    assert done.returncode == 0
    assert done.stderr == b""
    assert b"gal/h" in done.stdout
    # A lost minus would mislead.
    assert b" -16.0 " in done.stdout
    assert b"?" not in done.stdout
    assert b" degF" in done.stdout


def test_a_calculation_can_be_followed_without_unicode() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "loop", "explain", str(KITTIWAKE), "--level", "3"],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        check=True,
    )
    # What is left is the end of a question.
    lacking = [line for line in done.stdout.splitlines() if b"?" in line.rstrip(b"?")]
    assert not lacking


def test_a_reader_that_stops_early_is_no_mistake() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "loop", "schema"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as run:
        assert run.stdout is not None
        assert run.stderr is not None
        run.stdout.close()
        assert run.stderr.read() == b""
    assert run.returncode == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_output_that_has_no_room_is_told() -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "loop", "schema"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == "standard output: No space left on device\n"


@pytest.mark.parametrize("command", COMMANDS)
def test_help_names_what_to_write_and_no_type_of_a_programmer(command: str) -> None:
    told = loop(command, "--help").stdout
    assert not re.search(r"<(str|int|float|list|bool)|\{|\[\[[A-Z]", told)
