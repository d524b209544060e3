"""Findings that say the same about several places are merged, but stay separate in JSON."""

import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from loop.check import CheckResult, check, to_json
from loop.job import parse_job
from loop.sheet import sheet
from loop.words import CODES, Finding, Place, grouped, told
from loop.words.actions import RemovePart
from loop.words.template import capital
from tests.command_line import loop
from tests.test_cli_check import six_units
from tests.test_codes import JOBS

STEP = Finding("bore-step", "note", Place(part="part[3]"), {"bore": 0.02, "to": 0.01})
SHORT = Finding(
    "flow-short", "fault", Place(unit="a"), {"flow": 1e-4, "unit": "a"}, (RemovePart("part[4]"),)
)


def test_only_findings_that_differ_in_their_place_alone_are_put_together() -> None:
    other = replace(STEP, at=Place(part="part[5]"))
    apart = [
        replace(STEP, code="guessed"),
        replace(STEP, level="warning"),
        replace(STEP, values={"bore": 0.01, "to": 0.02}),
        replace(STEP, actions=SHORT.actions),
        replace(STEP, basis=("geometry",)),
    ]
    assert grouped([STEP, *apart, other]) == ((STEP, other), *((one,) for one in apart))
    assert grouped([]) == ()


def test_what_has_words_for_several_is_put_together_whatever_cures_it() -> None:
    other = replace(SHORT, at=Place(unit="b"), values={"flow": 2e-4, "unit": "b"})
    uncured = replace(other, at=Place(unit="c"), actions=())
    rest = replace(other, values={**other.values, "state": "rest"})
    shut = replace(other, values={**other.values, "case": "shut"})
    together = (SHORT, uncured, other)
    assert grouped([SHORT, uncured, rest, shut, other]) == (together, (rest,), (shut,))
    steps = [replace(STEP, actions=SHORT.actions), replace(STEP, actions=SHORT.actions, values={})]
    assert grouped(steps) == (tuple(steps),)


@pytest.fixture(scope="module")
def stepped() -> str:
    """A job with six branches of 5/8 in hose between fittings of 1 in."""
    return six_units().replace('length = "6 ft"', 'length = "6 ft"\nbore = "5/8 in"')


@pytest.fixture(scope="module")
def result(stepped: str) -> CheckResult:
    return check(parse_job(tomllib.loads(stepped)))


def test_six_equal_steps_are_said_once_with_their_places(
    stepped: str, result: CheckResult, tmp_path: Path
) -> None:
    (steps,) = (one for one in told(result.findings, result.job) if one.code == "bore-step")
    job = tmp_path / "six.toml"
    job.write_text(stepped, "utf-8")
    for width in (60, 100):
        shown = loop("check", job, width=width).stdout
        assert shown.count(f"note  {steps.title}, ") == 1
        words = " ".join(shown.split())
        for number in range(1, 7):
            place = f"part 5 (manifold) branch {number} (to cabin {number}) part 2 (condenser)"
            said = [message for message in steps.messages if place in message]
            assert len(said) == 1
            assert words.count(capital(said[0])) == 1
        assert max(map(len, shown.splitlines())) <= width


def test_in_json_each_keeps_its_place(result: CheckResult) -> None:
    steps = [one for one in to_json(result)["findings"] if one["code"] == "bore-step"]
    assert len({one["at"]["part"] for one in steps}) == len(steps) >= 6


def test_the_sheet_says_them_once_too(result: CheckResult) -> None:
    made = sheet(result)
    assert len(made.findings) == len(grouped(result.findings)) < len(result.findings)
    wheres = "; ".join(one.where for one in made.findings)
    assert all(one.where in wheres for one in told(result.findings, result.job))


def test_what_a_person_reads_points_to_a_finding_by_its_title() -> None:
    """Screens that show no codes could not be followed otherwise."""
    pointed = 0
    for name in ("unbalanced", "flow-excess", "bore-step", "hose-slow"):
        every = told(check(JOBS[name]()).findings, JOBS[name]())
        for number, one in enumerate(every):
            said = " ".join((*one.messages, one.fix, one.first_fix))
            assert not [code for code in CODES if re.search(rf"(?<!-)\b{code}\b(?!-)", said)]
            for title in re.findall("“(.*?)”", one.fix):
                pointed += title in {other.title for other in every[:number]}
    assert pointed
