"""Mistakes on one command line are reported together; names are shown whole on narrow screens."""

from pathlib import Path

import pytest

from loop.diagnose.faults import BY_NAME
from loop.words.commands import SAY as COMMAND
from loop.words.diagnosis import SAY as DIAGNOSIS
from tests.command_line import EXAMPLES, KITTIWAKE, loop


def test_every_mistake_of_a_call_is_told_at_once(tmp_path: Path) -> None:
    kept = tmp_path / "boat.toml"
    kept.write_text("mine", "utf-8")
    result = loop(
        "diagnose", KITTIWAKE, "flow=150 psi", "stream=weka", "--said", "it rains", "--tools",
        "buckit", "--prior", "pump-wron=1", "--record", kept, "--was", "strainer", "--date", "soon",
    )  # fmt: skip
    assert result.exit_code == 2
    meant = DIAGNOSIS("wrong-meant", near="'strainer-blocked'")
    none = DIAGNOSIS("wrong-fault", fault="'strainer'", hint=meant)
    lines = result.stderr.splitlines()
    assert lines[:2] == [COMMAND("taken", file=str(kept)), f"--was: {none}"]
    assert [line.partition(":")[0] for line in lines[2:3]] == ["--date"]
    # In order: a weight, two readings, what was said, the tools.
    values = ["'pump-wron'", "'psi'", "'weka'", "'it rains'", "'buckit'"]
    assert [one for one, line in zip(values, lines[3:], strict=True) if one in line] == values


def test_every_mistake_of_a_boat_without_a_job_is_told_at_once() -> None:
    result = loop("diagnose", "--unit", "12000", "--bore", "x", "--pump", "zz", "stream=weak")
    assert result.exit_code == 2
    assert [line.partition(":")[0] for line in result.stderr.splitlines()] == [
        "--unit",
        "--bore",
        "--pump",
    ]


def test_mistakes_of_a_baseline_are_told_together(tmp_path: Path) -> None:
    result = loop("baseline", KITTIWAKE, "flow=3 psi", "-o", tmp_path, "--date", "soon")
    assert result.exit_code == 2
    assert [line.partition(":")[0] for line in result.stderr.splitlines()] == [
        str(tmp_path),
        "--date",
        "--reading",
    ]


def test_the_drift_needs_a_job() -> None:
    result = loop("diagnose", "--unit", "12000 BTU/h", "--drift")
    assert (result.exit_code, result.stderr) == (2, f"{COMMAND('drift-without-job')}\n")


@pytest.mark.parametrize("more", [["--json"], ["-o", "weights.toml"], ["--season", "winter"]])
def test_faults_are_counted_only_in_a_folder(more: list[str]) -> None:
    result = loop("faults", *more)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"{COMMAND('faults-without-folder')}\n"


@pytest.mark.parametrize("width", [40, 80])
def test_a_name_to_type_is_shown_whole(width: int) -> None:
    shown = loop("faults", width=width).stdout.split()
    assert set(BY_NAME) <= set(shown)


def test_a_reading_is_named_in_full_on_a_phone(tmp_path: Path) -> None:
    shown = loop(
        "baseline", KITTIWAKE, EXAMPLES / "readings-clean.toml", "-o", tmp_path / "x.toml", width=40
    ).stdout
    assert "condensing temperature" in " ".join(shown.split())
    assert "…" not in shown


def test_a_broken_head_is_one_word_beside_its_number() -> None:
    assert "shut-off 21.0 ft" in " ".join(loop("pumps", width=40).stdout.split())
