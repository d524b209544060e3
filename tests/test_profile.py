"""The way of the water: distances, heights, and which ups and downs count."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.hydraulics import build
from loop.job import Job
from loop.margins.profile import LEAST_SWING, Profile, profile, turns

# Whole millimetres, so that no swing lies within rounding of the least one that counts.
heights = st.lists(st.integers(-400, 400).map(lambda mm: mm / 1000), min_size=1, max_size=30)


def way(parts: Sequence[dict[str, Any]]) -> Profile:
    """The profile of a series loop of these parts, an intake at -0.4 m before them."""
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
    """Most points of the line that go up and down by turns, each by at least the least swing."""
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
    assert line.height_at(1.75) == pytest.approx(0.1)
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
    assert under.levels == (*under.heights, 0.0)
    assert above.levels == tuple(above.heights)


# Which ups and downs count


@pytest.mark.parametrize(("swing", "count"), [(0.024, 1), (0.025, 3), (0.026, 3)])
def test_a_dip_counts_from_25_mm(swing: float, count: int) -> None:
    found = turns([0.0, 0.5, 0.5 - swing, 0.5, 0.0])
    assert len(found) - 2 == count


def test_a_plateau_is_one_crest_that_spans_it() -> None:
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
    found = turns(line.levels)
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
