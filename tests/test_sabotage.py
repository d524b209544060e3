"""The most important law: no wrongly installed loop passes as good, and no sound one fails.

The long run makes every installation error on hundreds of sound loops:
``python -m tests.sabotage``.
"""

import random

import pytest

from loop.check import check
from loop.job import parse_job
from tests.sabotage.branched import BRANCH_WAYS, branched_tables
from tests.sabotage.judged import (
    REFUSED,
    judged,
    judged_branched,
    judged_together,
    judged_under_way,
)
from tests.sabotage.sound import sound
from tests.sabotage.ways import WAYS, Sabotage

_GRAVE = ("danger", "fault")


def test_there_are_many_ways_and_each_has_a_name_of_its_own() -> None:
    assert len(WAYS) >= 170
    assert len({str(sabotage) for sabotage in WAYS}) == len(WAYS)


@pytest.mark.parametrize("sabotage", WAYS, ids=str)
def test_no_wrong_installation_is_good(sabotage: Sabotage) -> None:
    seed = WAYS.index(sabotage) % 7
    verdict, codes = judged(sabotage, seed)
    assert verdict != "good", (sabotage.name, seed, codes)
    assert codes & sabotage.codes, (sabotage.name, seed, codes)


@pytest.mark.parametrize("sabotage", BRANCH_WAYS, ids=str)
def test_no_wrong_branch_is_good(sabotage: Sabotage) -> None:
    number = BRANCH_WAYS.index(sabotage) % 2
    verdict, codes = judged_branched(sabotage, number)
    assert verdict not in ("good", REFUSED), (sabotage.name, number, codes)
    assert codes & sabotage.codes, (sabotage.name, number, codes)


def test_sound_branched_loops_are_good_and_no_way_to_spoil_them_is() -> None:
    chance = random.Random(2)
    for number in range(3):
        result = check(parse_job(branched_tables(number)), fixes=False)
        assert result.verdict == "good", (number, result)
        for sabotage in chance.sample(WAYS, 4):
            verdict, codes = judged_branched(sabotage, number)
            assert verdict != "good", (sabotage.name, number, codes)


def test_two_wrongs_at_once_are_not_good() -> None:
    """Even if one hides part of the other, unless they change the same thing."""
    chance = random.Random(8)
    seen = 0
    for seed in range(40):
        pair = chance.sample(WAYS, 2)
        if (found := judged_together(pair, seed % 9)) is not None:
            seen += 1
            assert found[0] != "good", ([str(one) for one in pair], seed, found[1])
    assert seen > 26


def test_a_scoop_under_way_makes_no_wrong_installation_good() -> None:
    """Units also run at the dock, so what a scoop adds hides nothing."""
    chance = random.Random(4)
    for sabotage in chance.sample(WAYS, 25):
        found = judged_under_way(sabotage, chance.randrange(8), chance.choice([8, 14, 20]))
        assert found is None or found[0] != "good", (str(sabotage), found)


def test_sound_loops_are_good() -> None:
    """Fewer than the long run's 2,000, and none has a danger or a fault."""
    results = [check(sound(seed), fixes=False) for seed in range(20)]
    grave = [f.code for result in results for f in result.findings if f.level in _GRAVE]
    assert not grave
    assert sum(result.verdict == "good" for result in results) >= 19
