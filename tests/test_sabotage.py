"""The law that matters most: no loop installed wrong passes as good, and no sound one fails.

The long run takes every way on hundreds of sound loops: ``pytest tests/test_sabotage.py -m
extended``.
"""

import copy
import random

import pytest

from loop.check import check
from loop.job import JobError, parse_job
from tests.sabotage.sound import sound, sound_tables
from tests.sabotage.ways import WAYS, Sabotage

REFUSED = "refused"
QUICK = 4
MANY = 220


def found(sabotage: Sabotage, seed: int) -> tuple[str, set[str]]:
    """Verdict and codes of a sound loop that was spoiled; "refused" where it is no job."""
    table = copy.deepcopy(sound_tables(seed))
    sabotage.change(table, random.Random(seed))
    try:
        result = check(parse_job(table), fixes=False)
    except JobError:
        return REFUSED, {REFUSED}
    return result.verdict, {finding.code for finding in result.findings}


def test_there_are_many_ways_and_each_has_a_name_of_its_own() -> None:
    assert len(WAYS) >= 80
    assert len({str(sabotage) for sabotage in WAYS}) == len(WAYS)


@pytest.mark.parametrize("sabotage", WAYS, ids=str)
def test_no_wrong_installation_is_good(sabotage: Sabotage) -> None:
    number = WAYS.index(sabotage)
    for seed in range(number % 7, number % 7 + QUICK):
        verdict, codes = found(sabotage, seed)
        assert verdict != "good", (sabotage.name, seed, codes)
        assert codes & sabotage.codes, (sabotage.name, seed, codes)


@pytest.mark.extended
@pytest.mark.parametrize("sabotage", WAYS, ids=str)
def test_no_wrong_installation_is_good_on_many_loops(sabotage: Sabotage) -> None:
    for seed in range(MANY):
        verdict, codes = found(sabotage, seed)
        assert verdict != "good", (sabotage.name, seed, codes)
        assert codes & sabotage.codes, (sabotage.name, seed, codes)


def crying_wolf(count: int) -> tuple[int, list[tuple[int, str]]]:
    """How many of so many sound loops are good, and those with a danger or a fault."""
    good, alarms = 0, []
    for seed in range(count):
        result = check(sound(seed), fixes=False)
        good += result.verdict == "good"
        alarms += [(seed, f.code) for f in result.findings if f.level in ("danger", "fault")]
    return good, alarms


def test_sound_loops_are_good() -> None:
    good, alarms = crying_wolf(40)
    assert not alarms
    assert good >= 38


@pytest.mark.extended
def test_two_thousand_sound_loops_are_good() -> None:
    good, alarms = crying_wolf(2000)
    assert not alarms
    assert good >= 1900
