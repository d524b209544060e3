"""The path to the pump by hand: its humps, heights without a hump, and what does not count."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loop.air.air_paths import air_paths
from loop.air.suction_rise import SuctionSide, suction_side
from loop.hydraulics import solve
from loop.hydraulics.line_profile import Point, Profile
from loop.parts import Hose
from tests.test_air import Way, air_of, loop_of

REST: Way = ((2.5, 0.3),)


def side_of(suction: Way, pressure: Way = REST, **more: Any) -> SuctionSide:
    return air_of(loop_of(pressure, suction=suction, outlet_bleed=False, **more)).suction


def moves_of(side: SuctionSide) -> dict[float, float]:
    """New height by distance."""
    return {round(move.distance, 9): round(move.to, 9) for move in side.moves}


def test_each_hump_and_each_move_says_where_it_is() -> None:
    """Humps at 1 and 3 m, intake -0.4: down to the lowest after each, -0.3 and -0.25 m.

    Parts: intake, then hoses 1 to 4, the pump; the high point after the pump is not part of the
    suction.
    """
    suction: Way = ((1.0, 0.05), (1.0, -0.3), (1.0, -0.1), (1.0, -0.25))
    side = side_of(suction, ((1.2, 0.5), (1.0, 0.1), (1.0, 0.3)))
    assert [(h.high_point, h.distance, h.height, h.above_water) for h in side.humps] == [
        (0, 1.0, 0.05, True),
        (1, 3.0, -0.1, False),
    ]
    assert [
        (m.part, m.along, m.on_part, m.distance, m.height, m.to) for m in side.moves
    ] == [(1, 1.0, False, 1.0, 0.05, -0.3), (3, 1.0, False, 3.0, -0.1, -0.25)]  # fmt: skip


def test_a_hump_on_a_hose_is_moved_where_it_is_on_it() -> None:
    """A hose of 2 m with its top at 0.8 m and its low point at 1.5 m, after one of 1 m."""
    via = [{"at": 0.8, "height": -0.1}, {"at": 1.5, "height": -0.35}]
    bent = {"kind": "hose", "length": 2.0, "to": -0.2, "via": via}
    side = side_of(((1.0, -0.38), bent))
    assert [(m.part, m.along, m.on_part, m.to) for m in side.moves] == [(2, 0.8, True, -0.35)]
    assert side.moves[0].distance == pytest.approx(1.8)


def test_what_has_no_length_goes_along_with_its_hose() -> None:
    """A strainer, a valve and a tee at the top and in the low point: only hose ends are stated."""
    fitted: Way = ((1.0, -0.1), "tee", {"kind": "strainer", "k": 4.0}, (1.0, -0.8), "seacock",
                   (1.0, -0.2), "tee")  # fmt: skip
    plain = side_of(((1.0, -0.1), (1.0, -0.8), (1.0, -0.2)))
    assert moves_of(side_of(fitted)) == moves_of(plain) == {1.0: -0.4, 2.0: -0.4}
    assert [move.part for move in side_of(fitted).moves] == [1, 4]


@pytest.mark.parametrize(
    ("suction", "moves", "rises"),
    [
        # Dips below the intake before a hump, none after it: only the hump must come down.
        (((1.5, -0.8), (1.5, -0.1), (1.0, -0.3), (1.0, -0.2)), {3.0: -0.3}, False),
        # Nor does a dip behind it that is just as low as the intake bring the first up.
        (((1.0, -0.8), (1.0, -0.1), (1.0, -0.4), (1.0, -0.2)), {2.0: -0.4}, False),
        # Of two humps only the second is higher than the intake, with a dip after it: the whole
        # line comes to the intake's height.
        (
            ((1.0, -0.8), (1.0, -0.5), (1.0, -0.7), (1.0, -0.1), (1.0, -0.6), (1.0, -0.3)),
            {1.0: -0.4, 2.0: -0.4, 3.0: -0.4, 4.0: -0.4, 5.0: -0.4},
            True,
        ),
        # Of two humps only the first has a dip below the intake behind it: so too.
        (
            ((1.0, -0.1), (1.0, -0.6), (1.0, -0.2), (1.0, -0.3), (1.0, -0.25)),
            {1.0: -0.4, 2.0: -0.4, 3.0: -0.3},
            True,
        ),
        # A step down on the way to the dip, higher than a hump behind it, is down already.
        (((1.0, -0.5), (1.0, -0.8), (1.0, -0.6), (1.0, -0.7), (1.0, -0.3)), {3.0: -0.7}, False),
        # A bump on the way down to the lowest point goes to what is before it.
        (((1.0, -0.6), (1.0, -0.5), (1.0, -0.9), (1.0, -0.45)), {2.0: -0.6}, False),
        # A hump over an intake that stays the lowest: the low point after it, slightly above,
        # decides.
        (((1.0, -0.1), (1.0, -0.399), (1.0, -0.2)), {1.0: -0.399}, True),
        # First down to a dip: a line without any hump behind it would do so too.
        (((1.0, -0.45), (1.0, -0.3), (1.0, -0.35), (1.0, -0.2)), {2.0: -0.35}, False),
    ],
)
def test_heights_that_leave_no_hump(suction: Way, moves: dict[float, float], rises: bool) -> None:
    side = side_of(suction)
    assert moves_of(side) == moves
    assert side.rises is rises


def test_a_line_without_humps_has_nothing_to_move() -> None:
    side = side_of(((1.0, -0.35), (1.0, -0.3)))
    assert (side.humps, side.moves, side.rises, side.stops_pump) == ((), (), True, False)


# What changes nothing

lines = st.lists(st.integers(-90, 20).map(lambda n: n / 100), min_size=2, max_size=6)


def with_hoses(line: list[float]) -> Way:
    return tuple((2.0, height) for height in line)


@settings(max_examples=30, deadline=None)
@given(lines, st.sampled_from([-1.4, -0.6, 0.9]))
def test_what_lies_behind_the_pump_has_no_say(line: list[float], then: float) -> None:
    one = side_of(with_hoses(line))
    other = side_of(with_hoses(line), ((2.5, then), (2.5, 0.3)))
    # But that a pump that the line falls from may be a high point of the pressure side.
    assert (one.humps, one.moves, one.rises) == (other.humps, other.moves, other.rises)


@settings(max_examples=30, deadline=None)
@given(lines)
def test_lowering_everything_by_a_foot_lowers_every_answer_by_it(line: list[float]) -> None:
    foot = 0.3048
    one = side_of(with_hoses(line))
    lower = side_of(with_hoses([height - foot for height in line]), intake=-0.4 - foot)
    assert one.rises is lower.rises
    for ours, theirs in ((one.moves, lower.moves), (one.humps, lower.humps)):
        assert [m.distance for m in ours] == [m.distance for m in theirs]
        assert [m.height - foot for m in ours] == pytest.approx([m.height for m in theirs])
    assert [m.to - foot for m in one.moves] == pytest.approx([m.to for m in lower.moves])


@settings(max_examples=30, deadline=None)
@given(lines)
def test_a_longer_first_hose_moves_every_place_by_its_length_and_nothing_else(
    line: list[float],
) -> None:
    one = side_of(with_hoses(line))
    longer = side_of(((5.5, line[0]), *with_hoses(line)[1:]))
    for ours, theirs in ((one.humps, longer.humps), (one.moves, longer.moves)):
        assert [m.distance + 3.5 for m in ours] == [m.distance for m in theirs]
        assert [m.height for m in ours] == [m.height for m in theirs]
    assert [m.to for m in one.moves] == [m.to for m in longer.moves]


def test_the_pumps_own_height_counts_not_that_of_the_point_before_it() -> None:
    """A line given point by point: top -0.1, low point -0.8, pump -0.6: no lower than the pump."""
    job = loop_of(REST, suction=((1.0, -0.1), (1.0, -0.8), (1.0, -0.6)), outlet_bleed=False)
    point = solve(job)
    (path,) = air_paths(point.network, point)
    heights = (-0.4, -0.1, -0.8, -0.6, 0.3)
    line = Profile(tuple(Point(float(i), h, i) for i, h in enumerate(heights)), 3, ())
    high_points = [replace(path.high_points[0], side="suction", distance=1.0, height=-0.1)]
    parts = point.network.parts
    assert isinstance(parts[2], Hose)
    side = suction_side(False, parts, line, high_points)
    assert moves_of(side) == {1.0: -0.6, 2.0: -0.6}
    assert not side.rises
