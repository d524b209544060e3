"""Findings that say the same of several places are told once, and stay apart in JSON."""

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from loop.check import CheckResult, Finding, check, grouped, to_json
from loop.job import parse_job
from loop.sheet import sheet
from tests.command_line import loop
from tests.test_cli_check import six_units

SAID = Finding("bore-step", "note", "part 3 (hose)", "it changes", "one bore", "common practice")


def test_only_findings_that_differ_in_their_place_alone_are_put_together() -> None:
    other = replace(SAID, where="part 5 (hose)")
    apart = [
        replace(SAID, code="another"),
        replace(SAID, level="warning"),
        replace(SAID, message="another"),
        replace(SAID, fix="another"),
        replace(SAID, source="another"),
    ]
    assert grouped([SAID, *apart, other]) == ((SAID, other), *((one,) for one in apart))
    assert grouped([]) == ()


@pytest.fixture(scope="module")
def stepped() -> str:
    """A job with six branches of 5/8 in hose between fittings of 1 in."""
    return six_units().replace('length = "6 ft"', 'length = "6 ft"\nbore = "5/8 in"')


@pytest.fixture(scope="module")
def result(stepped: str) -> CheckResult:
    return check(parse_job(tomllib.loads(stepped)))


def test_six_equal_steps_are_told_once_with_their_places(stepped: str, tmp_path: Path) -> None:
    job = tmp_path / "six.toml"
    job.write_text(stepped, "utf-8")
    for width in (60, 100):
        shown = loop("check", job, width=width).stdout
        assert shown.count("note  bore-step, 6 places") == 1
        words = " ".join(shown.split())
        for number in range(1, 7):
            place = f"• part 5 (manifold) branch {number} (to cabin {number}) part 2 (condenser)"
            assert words.count(place) == 1
        assert max(map(len, shown.splitlines())) <= width


def test_in_json_each_keeps_its_place(result: CheckResult) -> None:
    steps = [one for one in to_json(result)["findings"] if one["code"] == "bore-step"]
    assert len({one["where"] for one in steps}) == len(steps) >= 6


def test_the_sheet_tells_them_once_too(result: CheckResult) -> None:
    made = sheet(result)
    assert len(made.findings) == len(grouped(result.findings)) < len(result.findings)
    wheres = "; ".join(one.where for one in made.findings)
    assert all(one.where in wheres for one in result.findings)
