"""The path of the water: distances, heights, and which ups and downs count."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.hydraulics import build
from loop.hydraulics.line_profile import LEAST_SWING, Point, Profile, profile, turns
from loop.job import Job

# Whole millimeters, so that no swing is within rounding of the least one that counts.
heights = st.lists(st.integers(-400, 400).map(lambda mm: mm / 1000), min_size=1, max_size=30)


def distances(line: Profile) -> list[float]:
    return [point.distance for point in line.points]


def way(parts: Sequence[dict[str, Any]]) -> Profile:
    """The profile of a series loop of these parts, with an intake at -0.4 m before them."""
    job = Job.model_validate(
        {
            "water": {"temperature": 20.0},
            "defaults": {"bore": 0.019},
            "condenser": [{"name": "a", "cooling": 3000.0}],
            "part": [{"kind": "intake", "height": -0.4}, *parts],
        }
    )
    network = build(job)
    ((_, indices),) = network.paths()
    return profile(network, indices)


def hose(length: float, to: float, **more: Any) -> dict[str, Any]:
    return {"kind": "hose", "length": length, "to": to, **more}


PUMP = {"kind": "pump", "curve": "demo-ac-350"}
UNIT = {"kind": "condenser", "serves": "a", "loss": "10 kPa at 15 L/min"}


def longest_zigzag(line: Sequence[float]) -> int:
    """Most points of the line that alternate up and down, each by at least the least swing."""
    up, down = [1] * len(line), [1] * len(line)
    for i, here in enumerate(line):
        for j in range(i):
            if here - line[j] >= LEAST_SWING - 1e-9:
                up[i] = max(up[i], down[j] + 1)
            if line[j] - here >= LEAST_SWING - 1e-9:
                down[i] = max(down[i], up[j] + 1)
    return max(up + down)


# Points


def test_hoses_add_their_lengths_and_other_parts_are_points() -> None:
    line = way(
        [
            hose(1.0, -0.3),
            PUMP,
            {"kind": "bleed"},
            hose(4.0, 0.2, via=[{"at": 1.5, "height": 0.5}, {"at": 2.5, "height": 0.1}]),
            UNIT,
            {"kind": "discharge", "height": 0.2},
        ]
    )
    assert [(p.distance, p.height, p.part) for p in line.points] == [
        (0.0, -0.4, 0),
        (1.0, -0.3, 1),
        (1.0, -0.3, 2),
        (1.0, -0.3, 3),
        (2.5, 0.5, 4),
        (3.5, 0.1, 4),
        (5.0, 0.2, 4),
        (5.0, 0.2, 5),
        (5.0, 0.2, 6),
    ]
    assert line.pump_at == 1.0
    assert [(b.distance, b.height) for b in line.bleeds_at] == [(1.0, -0.3)]
    assert line.length == 5.0
    assert np.interp(1.75, distances(line), line.heights) == pytest.approx(0.1)
    assert line.inside_part(4)
    assert not line.inside_part(6)


def test_branches_share_the_main_line_and_go_on_from_where_they_join() -> None:
    def branch(name: str, top: float) -> dict[str, Any]:
        unit = {**UNIT, "serves": name}
        return {"name": name, "part": [hose(2.0, top), unit, hose(2.0, 0.1)]}

    job = Job.model_validate(
        {
            "water": {"temperature": 20.0},
            "defaults": {"bore": 0.019},
            "condenser": [{"name": n, "cooling": 3000.0} for n in "ab"],
            "part": [
                {"kind": "intake", "height": -0.4},
                hose(1.0, -0.3),
                PUMP,
                hose(0.5, 0.0),
                {"kind": "manifold", "branch": [branch("a", 0.5), branch("b", 0.9)]},
                hose(1.0, 0.1),
                {"kind": "discharge", "height": 0.1},
            ],
        }
    )
    network = build(job)
    ways = {name: profile(network, parts) for name, parts in network.paths()}
    assert set(ways) == {"a", "b"}
    assert max(ways["a"].heights) == 0.5
    assert max(ways["b"].heights) == 0.9
    for line in ways.values():
        assert line.length == pytest.approx(6.5)
        assert [p.part for p in line.points[:4]] == [0, 1, 2, 3]
        assert line.pump_at == 1.0


def test_the_sea_stands_over_an_outlet_under_water() -> None:
    under = way(
        [hose(1.0, -0.3), PUMP, hose(2.0, -0.2), UNIT, {"kind": "discharge", "height": -0.2}]
    )
    above = way([hose(1.0, -0.3), PUMP, hose(2.0, 0.2), UNIT, {"kind": "discharge", "height": 0.2}])
    assert under.heights_to_sea == (*under.heights, 0.0)
    assert above.heights_to_sea == tuple(above.heights)


# Which ups and downs count


@pytest.mark.parametrize(("swing", "count"), [(0.024, 1), (0.025, 3), (0.026, 3)])
def test_a_dip_counts_from_25_mm(swing: float, count: int) -> None:
    found = turns([0.0, 0.5, 0.5 - swing, 0.5, 0.0])
    assert len(found) - 2 == count


def test_a_plateau_is_one_high_point_that_spans_it() -> None:
    line = way(
        [
            hose(1.0, -0.3),
            PUMP,
            hose(1.0, 0.5),
            UNIT,
            hose(0.6, 0.5, via=[{"at": 0.3, "height": 0.49}]),
            hose(1.0, 0.0),
            hose(1.0, 0.2),
            {"kind": "discharge", "height": 0.2},
        ]
    )
    found = turns(line.heights_to_sea)
    assert [line.points[t.position].height for t in found] == [-0.4, 0.5, 0.0, 0.2]
    flat = line.flat_around(found[1].position, LEAST_SWING)
    # Top of the riser to the end of the level hose, and 25 mm down the legs: slopes 0.8 and 0.5.
    assert (line.points[flat.first].distance, line.points[flat.last].distance) == (2.0, 2.6)
    assert flat.start == pytest.approx(2.0 - 0.025 / 0.8)
    assert flat.end == pytest.approx(2.6 + 0.025 / 0.5)


@given(heights)
def test_turns_alternate_and_are_the_most_that_can(line: list[float]) -> None:
    found = turns(line)
    for before, after in pairwise(found):
        assert before.position < after.position
        assert before.high != after.high
        rise = line[after.position] - line[before.position]
        assert (rise if after.high else -rise) >= LEAST_SWING - 1e-9
    assert max(len(found), 1) == longest_zigzag(line)


@given(heights)
def test_each_turn_is_the_extreme_between_its_neighbours(line: list[float]) -> None:
    found = turns(line)
    for before, turn, after in zip(found, found[1:], found[2:], strict=False):
        between = line[before.position : after.position + 1]
        assert line[turn.position] == (max(between) if turn.high else min(between))


@given(heights)
def test_a_line_walked_backwards_has_the_same_turns(line: list[float]) -> None:
    forward = [(line[t.position], t.high) for t in turns(line)]
    back = line[::-1]
    assert [(back[t.position], t.high) for t in turns(back)][::-1] == forward


@given(heights, st.data())
def test_points_on_a_straight_piece_change_nothing(line: list[float], data: st.DataObject) -> None:
    split = [line[0]]
    for before, after in pairwise(line):
        if data.draw(st.booleans()):
            split.append((before + after) / 2)
        split.append(after)
    assert [(split[t.position], t.high) for t in turns(split)] == [
        (line[t.position], t.high) for t in turns(line)
    ]


@given(heights, st.integers(-100, 100))
def test_raising_the_whole_line_moves_no_turn(line: list[float], by: int) -> None:
    assert turns([h + by / 100 for h in line]) == turns(line)


# A line by its points alone


def line_of(*points: tuple[float, float], pump: int = 0) -> Profile:
    """Distances and heights; every point ends its own part."""
    placed = tuple(Point(at, height, part) for part, (at, height) in enumerate(points))
    return Profile(placed, pump, ())


ZIGZAG = line_of((0, 0.0), (1, 0.5), (2, 0.2), (3, 0.4), (4, -0.1), (5, 0.3))


@pytest.mark.parametrize(
    ("start", "end", "fall"),
    [
        (0, 5, 0.6),  # from 0.5 down to -0.1, over the bump at 0.4
        (0, 1, 0.0),
        (1, 2, 0.3),
        (2, 3, 0.0),
        (2, 4, 0.5),
        (4, 5, 0.0),
        (3, 3, 0.0),
    ],
)
def test_the_largest_fall_is_from_any_point_to_a_later_one(
    start: int, end: int, fall: float
) -> None:
    assert ZIGZAG.fall_between(start, end) == pytest.approx(fall)


def test_a_line_is_as_long_as_its_parts() -> None:
    assert ZIGZAG.length == 5
    assert distances(ZIGZAG) == [0, 1, 2, 3, 4, 5]


def test_the_sea_stands_over_the_end_only_where_it_is_under_water() -> None:
    assert line_of((0, -1.0), (1, -0.001)).heights_to_sea == (-1.0, -0.001, 0.0)
    assert line_of((0, -1.0), (1, 0.0)).heights_to_sea == (-1.0, 0.0)


def test_a_turns_flat_reaches_to_where_the_line_leaves_its_height() -> None:
    """Top of 0.5 m; slopes of 0.5 up to it and 0.3 down: 0.1 m off it is 0.2 and 0.333 m away."""
    flat = ZIGZAG.flat_around(1, 0.1)
    assert (flat.first, flat.last) == (1, 1)
    assert [flat.start, flat.end] == pytest.approx([0.8, 1 + 0.1 / 0.3])
    # Far enough to take in the low point and the next high point: to 0.1 m, on the leg after it.
    wide = ZIGZAG.flat_around(1, 0.4)
    assert [wide.start, wide.end] == pytest.approx([0.2, 3 + 0.3 / 0.5])
    assert (wide.first, wide.last) == (1, 1)
    # A point that is just as far off as the reach is where the line leaves it.
    assert ZIGZAG.flat_around(1, 0.3).end == pytest.approx(2.0)
    # To the ends, and no further: the line there is within reach.
    assert ZIGZAG.flat_around(1, 0.7).start == 0
    assert ZIGZAG.flat_around(5, 0.2).end == 5
    assert ZIGZAG.flat_around(1, 2.0).end == 5


@pytest.mark.parametrize(("off", "level"), [(0.0, True), (0.0009, True), (0.0011, False)])
def test_a_level_run_is_level_to_a_millimetre(off: float, level: bool) -> None:
    for sign in (1, -1):
        line = line_of((0, 0.0), (1, 0.5), (2, 0.5 + sign * off), (3, 0.0))
        flat = line.flat_around(1, 0.025)
        assert (flat.first, flat.last) == (1, 2 if level else 1)
        back = line_of((0, 0.0), (1, 0.5 + sign * off), (2, 0.5), (3, 0.0)).flat_around(2, 0.025)
        assert (back.first, back.last) == (1 if level else 2, 2)


def test_a_level_run_at_the_very_end_of_the_line_is_level_to_its_end() -> None:
    for points in (((0, 0.5), (1, 0.5), (3, 0.0)), ((0, 0.5), (1, 0.4995), (3, 0.0))):
        flat = line_of(*points).flat_around(1, 0.025)
        assert (flat.first, flat.last, flat.start) == (0, 1, 0.0)
        turned = tuple((3.0 - at, height) for at, height in reversed(points))
        back = line_of(*turned).flat_around(1, 0.025)
        assert (back.first, back.last, back.end) == (1, 2, 3.0)


def test_a_step_in_height_at_one_place_ends_the_flat_there() -> None:
    """Two points at one distance, 0.2 m apart in height, as where branches join."""
    line = line_of((0, 0.0), (1, 0.5), (1, 0.3), (2, 0.0))
    assert line.flat_around(1, 0.1).end == 1.0


def test_a_fitting_goes_on_a_part_where_the_part_goes_on() -> None:
    points = (Point(0, 0.0, 0), Point(1, 0.5, 1, 1.0), Point(2, 0.1, 1, 2.0), Point(3, 0.3, 2, 1.0))
    line = Profile(points, 0, (1, 3))
    assert [line.inside_part(i) for i in range(4)] == [False, True, False, False]
    assert line.bleeds_at == (points[1], points[3])
    assert line.pump_at == 0


def test_parts_without_length_sit_where_the_line_is_and_a_through_hull_at_its_own_height() -> None:
    """A measuring error of a few millimeters between hose and fitting goes to the fitting."""
    line = way(
        [
            hose(1.0, -0.3),
            {"kind": "seacock"},
            PUMP,
            hose(1.0, 0.2),
            UNIT,
            {"kind": "discharge", "height": 0.205},
        ]
    )
    assert line.heights.tolist() == [-0.4, -0.3, -0.3, -0.3, 0.2, 0.2, 0.205]
    assert np.all(np.diff(distances(line)) >= 0)
    assert [point.along for point in line.points] == [0, 1.0, 0, 0, 1.0, 0, 0]


@pytest.mark.parametrize("least", [0.1, 0.3])
def test_the_least_swing_may_be_another(least: float) -> None:
    """0.3 m up and down counts at 0.3 but not at 0.301; of equal heights the first is the turn."""
    line = [0.0, 0.3, 0.3, 0.0, 0.0]
    assert [t.position for t in turns(line, least)] == [0, 1, 3]
    assert turns(line, 0.301) == ()
    assert turns([], least) == turns([1.0], least) == ()
