"""Bypasses of the units: how far they are part-closed so that the units get their need."""

import pytest

from loop.balancing.balance import TABLE_MARGIN, Balance, balance
from loop.balancing.throttle_valves import Throttle
from loop.check import check
from loop.hydraulics import build
from tests.loops import Table, found
from tests.square_loops import bypass, seacock, square_job, valve, way
from tests.test_even import HALF, after_is_as_told, set_as_told, shares


def rounds(even: Balance) -> list[Throttle]:
    return [told for told in even.throttles if not told.unit]


def test_a_way_round_that_leaves_the_units_enough_is_left_as_it_is() -> None:
    job = square_job({"a": 100, "b": 100}, [way("a", 9), way("b", 9), bypass(40)])
    even = balance(build(job))
    assert even is not None
    assert even.low >= 1
    assert rounds(even) == []


@pytest.mark.parametrize("extra", [(), (valve(0.0),), (valve(30.0),)])
@pytest.mark.parametrize("need", [190, 208])
def test_a_way_round_is_closed_no_further_than_gives_the_units_their_need(
    extra: tuple[Table, ...], need: float
) -> None:
    job = square_job({"a": need, "b": need - 20}, [way("a", 9), way("b", 9), bypass(1, *extra)])
    assert shares(job)[1] < 1
    even = balance(build(job))
    assert even is not None
    (told,) = even.throttles
    assert (told.unit, told.branch) == ("", "to round"[3:])
    assert told.angle == round(told.angle) > told.was
    after = after_is_as_told(even, job)
    assert shares(after)[1] >= 1
    # The error of tables is kept as a margin.
    assert even.low >= 1 + TABLE_MARGIN
    looser = replaced(told, told.angle - 2)
    assert shares(set_as_told(job, (looser,)))[1] < 1 + TABLE_MARGIN


def replaced(told: Throttle, angle: float) -> Throttle:
    return Throttle(**{**vars(told), "angle": angle})


def test_a_way_round_that_stands_far_shut_is_not_opened() -> None:
    job = square_job({"a": 300, "b": 250}, [way("a", 9), way("b", 9), bypass(1, valve(70.0))])
    even = balance(build(job))
    assert even is not None
    assert even.low < 1
    assert all(told.angle >= 70 for told in rounds(even))


def test_units_valves_help_where_a_closed_way_round_is_not_enough() -> None:
    """The unit with too much leaves too little for the other even with the bypass shut."""
    job = square_job({"a": 90, "b": 200}, [way("a", 2), way("b", 14), bypass(1)])
    closed = square_job({"a": 90, "b": 200}, [way("a", 2), way("b", 14)])
    assert shares(closed)[1] < 1
    even = balance(build(job))
    assert even is not None
    assert {told.unit for told in even.throttles} == {"a", ""}
    after = after_is_as_told(even, job)
    assert shares(after)[1] >= 1
    (told,) = rounds(even)
    others = tuple(other for other in even.throttles if other.unit)
    assert shares(set_as_told(job, (replaced(told, told.angle - 2), *others)))[1] < 1 + TABLE_MARGIN


def test_a_way_round_is_all_but_shut_where_no_other_way_brings_more() -> None:
    """One degree short of where a ball valve is shut: water still circulates with the units off."""
    job = square_job({"a": 400, "b": 400}, [way("a", 9), way("b", 9), bypass(1)])
    even = balance(build(job))
    assert even is not None
    (told,) = rounds(even)
    assert told.angle == 81
    assert not seacock(HALF, told.angle).shut
    assert even.share > 1.01 * shares(job)[0]
    after_is_as_told(even, job)


def test_a_way_round_that_takes_next_to_nothing_is_left_alone() -> None:
    job = square_job({"a": 400, "b": 400}, [way("a", 9), way("b", 9), bypass(9000)])
    even = balance(build(job))
    assert even is not None
    assert even.low < 1
    assert rounds(even) == []


def test_several_ways_round_are_closed_alike() -> None:
    second = {**bypass(1), "name": "past"}
    job = square_job({"a": 225}, [way("a", 9), bypass(1), second])
    even = balance(build(job))
    assert even is not None
    assert {told.branch for told in rounds(even)} == {"round", "past"}
    assert len({told.angle for told in rounds(even)}) == 1
    after = after_is_as_told(even, job)
    assert shares(after)[1] >= 1
    looser = tuple(replaced(told, told.angle - 2) for told in even.throttles)
    assert shares(set_as_told(job, looser))[1] < 1 + TABLE_MARGIN


@pytest.mark.parametrize(("more", "case"), [([], "opens"), ([bypass(1)], "bypass")])
def test_a_way_round_is_blamed_only_where_there_is_one(more: list[Table], case: str) -> None:
    """Both units are short: their own valves are part shut, or the water runs past them."""
    valves = [valve(65.0), valve(62.0)] if not more else [valve(0.0), valve(0.0)]
    needs = {"a": 200.0, "b": 150.0} if not more else {"a": 225.0, "b": 225.0}
    ways = [way(name, 9, own) for name, own in zip("ab", valves, strict=True)]
    result = check(square_job(needs, [*ways, *more]), fixes=False)
    assert all(unit.flow < unit.needed_flow for unit in result.condensers)
    assert [one.values["case"] for one in found(result, "unbalanced")] == [case]
