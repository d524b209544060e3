"""The first lines: one cause and one fix, however many units and findings there are."""

import re
from pathlib import Path

import numpy as np
import pytest

from loop.check import CheckResult, check
from loop.job import Job, locate
from loop.words import CODES, Finding, Place, told
from loop.words.action_words import action_text
from loop.words.actions import RemovePart, SetValve
from loop.words.check_report import SAY
from loop.words.first_lines import first_lines
from loop.words.speaker import Speaker
from loop.words.template import counted
from tests.branches import branched
from tests.command_line import loop
from tests.random_jobs import random_job
from tests.sizable import sizable
from tests.test_cli_check import six_units

COUNTS = {2: "demo-ac-200", 24: "demo-ac-1000"}


def starved(count: int, units: str = "us") -> Job:
    """A boat all of whose units are short of water, each more than the one before."""
    job = branched(count).replace({"units": units})
    pump = next(item.address for item in locate(job.part) if item.part.kind == "pump")
    return job.replace({f"{pump}.curve": COUNTS[count]})


@pytest.fixture(scope="module", params=[(2, "us"), (24, "si")], ids=str)
def short(request: pytest.FixtureRequest) -> CheckResult:
    return check(starved(*request.param))


def test_units_that_are_short_are_said_in_one_sentence_with_the_worst(short: CheckResult) -> None:
    assert all(unit.flow < unit.needed_flow for unit in short.condensers)
    first = first_lines(short.findings, short.job)
    assert first is not None
    worst = min(short.condensers, key=lambda unit: unit.flow / unit.needed_flow)
    assert first.cause.startswith(f"{counted(len(short.condensers))} ")
    assert f"{worst.name} " in first.cause
    others = {unit.name for unit in short.condensers} - {worst.name}
    assert not any(f"{name} " in first.cause for name in others)
    # Two lines of a terminal.
    assert len(first.cause) < 2 * 80


def test_the_fix_of_many_is_one_and_short(short: CheckResult) -> None:
    first = first_lines(short.findings, short.job)
    assert first is not None
    actions = short.findings[0].actions[:1]
    # Two dozen on that pump are past help.
    assert actions or len(short.condensers) == 24
    for action in actions:
        assert first.fix.startswith(action_text(action, Speaker(short.job), brief=True))
    assert len(first.fix) < 6 * 80


@pytest.mark.parametrize(("width", "units"), [(40, "us"), (80, "si"), (120, "us")])
def test_check_begins_with_verdict_cause_and_fix(width: int, units: str, tmp_path: Path) -> None:
    path = tmp_path / "six.toml"
    text = six_units().replace("demo-ac-1500", "demo-ac-350")
    seacock = '[[part]]\nkind = "seacock"\n'
    path.write_text(text.replace('[[part]]\nkind = "hose"', f'{seacock}[[part]]\nkind = "hose"', 1))
    shown = loop("check", path, "--units", units, width=width).stdout
    start, _, rest = shown.partition("\n\n")
    assert start.startswith(f"BAD  {counted(6).capitalize()} ")
    assert start.count(f"\n{SAY('fix')} ") == 1
    assert max(map(len, shown.splitlines())) <= width
    numbers, _, findings = rest.partition(f"\n{SAY('findings')}\n")
    assert "cabin 6" in numbers
    assert findings.count(f"fault  {CODES['flow-short'].title}, ") == 1


def test_every_finding_is_said_once_and_every_action_in_full_once() -> None:
    rng = np.random.default_rng(21)
    several = again = 0
    for _ in range(4):
        job = random_job(rng, branches=3, depth=1)
        result = check(job)
        every = told(result.findings, job)
        numbers = [number for one in every for number in one.numbers]
        assert sorted(numbers) == list(range(len(result.findings)))
        units = [
            (one.code, one.level, found.values.get("case"), found.values.get("state"))
            for one in every
            for found in [result.findings[one.numbers[0]]]
            if found.at.unit is not None
            and CODES[one.code].text("several", str(found.values.get("case", "")))
        ]
        assert len(set(units)) == len(units)
        several += sum(len(one.numbers) > 1 for one in every)
        speaker = Speaker(job)
        fixes = "\n".join(one.fix for one in every)
        actions = {a for one in result.findings for a in one.actions}
        for action in (one for one in actions if len(one.steps) > 1):
            if any(set(action.steps) < set(other.steps) for other in actions):
                continue  # said again within the way that does more
            holders = sum(action in one.actions for one in result.findings)
            assert fixes.count(action_text(action, speaker)) <= 1
            again += holders > 1
    assert several > 6
    assert again > 1


PLAIN = random_job(np.random.default_rng(0), depth=0)
TAKE, OPEN = RemovePart("part[2]"), SetValve("part[2]")


def of(code: str, *actions: RemovePart | SetValve, **values: float | str) -> Finding:
    """A finding of the plain job."""
    return Finding(code, CODES[code].levels[0], Place(part="part[2]"), values, actions)


def test_a_fix_says_what_else_it_cures_and_is_not_said_twice() -> None:
    slow = {"speed": 0.1, "limit": 0.2}
    findings = [of("hose-fast", TAKE, **slow), of("bore-step", TAKE, bore=0.02, to=0.01)]
    first, second = told(findings, PLAIN)
    text = action_text(TAKE, Speaker(PLAIN))
    assert first.fix.startswith(text)
    assert CODES["bore-step"].title.lower() in first.fix
    assert text not in second.fix
    assert f"“{CODES['hose-fast'].title}”" in second.fix
    assert CODES["hose-fast"].title.lower() not in second.fix


def test_the_second_fix_of_a_finding_is_known_as_that() -> None:
    slow = {"speed": 0.1, "limit": 0.2}
    one, two = of("hose-fast", TAKE, OPEN, **slow), of("bore-step", OPEN, bore=0.02, to=0.01)
    first, second = told([one, two], PLAIN)
    assert action_text(OPEN, Speaker(PLAIN)) in first.fix
    assert action_text(OPEN, Speaker(PLAIN)) not in second.fix
    # Where only the first fixes are shown, it is given in full.
    assert action_text(OPEN, Speaker(PLAIN)) not in first.first_fix
    assert action_text(OPEN, Speaker(PLAIN)) in second.first_fix


def test_each_of_several_has_its_own_fix_and_advice_comes_last() -> None:
    slow = {"speed": 0.1, "limit": 0.2}
    hoses = [item.address for item in locate(PLAIN.part) if item.part.kind == "hose"]
    own, other = RemovePart(hoses[0]), RemovePart(hoses[1])
    findings = [
        Finding("hose-slow", "note", Place(part="part[2]"), slow),
        Finding("hose-slow", "note", Place(part=hoses[0]), slow, (own, TAKE)),
        Finding("hose-slow", "note", Place(part=hoses[1]), slow, (other,)),
    ]
    (only,) = told(findings, PLAIN)
    speaker = Speaker(PLAIN)
    places = [only.fix.index(text) for text in (action_text(a, speaker) for a in (own, other))]
    assert places == sorted(places)
    assert only.fix.index(CODES["hose-slow"].fix) > max(places)
    # Of a finding with more than one fix, the first.
    assert action_text(TAKE, speaker) not in only.fix
    assert only.first_fix == only.fix


_US = re.compile(r"\d (in|ft|gal/h|psi|°F|ft/s)\b")


@pytest.mark.parametrize(
    "seed",
    [*range(2), *(pytest.param(seed, marks=pytest.mark.extended) for seed in range(2, 60))],
)
def test_a_job_in_si_is_told_nothing_in_us_units(seed: int) -> None:
    job = sizable(np.random.default_rng(seed)).replace({"units": "si"})
    for one in told(check(job).findings, job):
        for text in (*one.messages, one.fix, one.source):
            assert not _US.search(text), text
