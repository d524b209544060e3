"""Priming an empty line: head supply, sums of drops, and the pump's own position among them."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from loop.air.high_points import find_high_points
from loop.air.priming_head import (
    Rises,
    fewest_vents,
    rises,
    rises_between,
    start_head,
    weakest_shutoff,
    weakest_speed,
)
from loop.hydraulics import Network, build, solve
from loop.hydraulics.line_profile import Profile, profile
from tests.loops import job_of
from tests.test_air import SUNK, TWO_HIGH_POINTS, Way, loop_of, sunk


def network(pump: str, supply: str | None = None, lowest: str | None = None) -> Network:
    changes: list[tuple[str | int, str, str]] = [(6, "curve", pump)]
    changes += [(6, "supply", supply)] if supply else []
    changes += [("sizing", "lowest_supply", lowest)] if lowest else []
    return build(job_of(*changes))


@pytest.mark.parametrize(
    ("pump", "supply", "lowest", "share"),
    [
        ("demo-dc-320", None, None, 1.0),
        ("demo-dc-320", None, "6 V", 0.25),  # 12 V pump at half its voltage: a quarter
        ("demo-dc-320", "10 V", "5 V", 0.25),  # the head given is that on 10 V
        ("demo-dc-320", "10 V", "9 V", 0.81),
        ("demo-dc-320", "10 V", "14 V", 1.0),  # a lowest supply above the job's own changes nothing
        ("demo-dc-320", "14 V", "13 V", (13 / 14) ** 2),
        ("demo-ac-350", None, "60 V", 1.0),  # an AC pump's speed follows its frequency
    ],
)
def test_shutoff_head_goes_with_the_square_of_a_dc_pumps_voltage(
    pump: str, supply: str | None, lowest: str | None, share: float
) -> None:
    assert weakest_shutoff(network(pump, supply, lowest), 4.0) == pytest.approx(4.0 * share)


def test_every_drop_counts_at_each_later_rise_and_at_none_before() -> None:
    """Drops 0.1, 0.2, 0.4: at four tops of equal height they add 0, 0.1, 0.3 and 0.7 m."""
    drops = [0.1, 0.2, 0.4, 5.0]
    for tops, expected in (
        ([1.0], 1.0),
        ([1.0, 1.0], 1.1),
        ([1.0, 1.0, 1.0], 1.3),
        ([1.0, 1.0, 1.0, 1.0], 1.7),
        ([1.0, 0.0, 0.0, 0.0], 1.0),
        ([0.0, 1.0, 0.0, 0.2], 1.1),
    ):
        assert start_head(tops, drops[: len(tops)]) == pytest.approx(expected)


def test_fewest_vents_by_hand() -> None:
    """Tops at 1 m with drops of 0.1, 0.3 and 0.2 before the last: 1.6 m as it is.

    The largest pocket alone brings 1.3; the two largest 1.1; all three 1.0.
    """
    tops, drops = [1.0] * 4, [0.1, 0.3, 0.2, 0.0]
    for limit, vented in (
        (1.6, ()), (1.59, (1,)), (1.3, (1,)), (1.29, (1, 2)), (1.1, (1, 2)), (1.09, (0, 1, 2)),
        (1.0, (0, 1, 2)),
    ):  # fmt: skip
        assert fewest_vents(tops, drops, limit) == vented
    # Without a pocket there is nothing to vent, although the rise is impossible.
    assert fewest_vents([1.0, 1.0, 1.0], [0.0, 0.2, 0.0], 0.5) == (1,)
    assert fewest_vents([1.0, 1.0], [0.0, 0.0], 0.5) == ()


def test_a_pocket_that_no_bleed_vents_stays_and_counts() -> None:
    """Pump at 0 m, with 0.3 m of a leg past it; tops at 1 m (drop 0.4) and 1 m (0.2); end 0.5.

    As it is 1 + 0.3 = 1.3, 1 + 0.7 = 1.7, 0.5 + 0.9 = 1.4. First high point vented: 1.3 and
    0.5 + 0.3 + 0.2 = 1.0.
    """
    way = Rises((0.0, 1.0, 1.0, 0.5), (0.3, 0.4, 0.2, 0.0), (None, 2, 5, None))
    assert way.head == pytest.approx(1.7)
    assert way.ventable == {2, 5}
    assert way.without(frozenset({2})).head == pytest.approx(1.3)
    assert way.without(frozenset({5})).head == pytest.approx(1.7)
    assert way.without(frozenset({2})).ventable == {5}
    assert way.fewest(1.7) == set()
    assert way.fewest(1.3) == {2}
    # 1.3 m at the high points cannot be reduced; the end's 0.5 + 0.3 + 0.2 can, with one
    # more.
    assert way.fewest(1.0) == {2}
    assert way.fewest(0.9) == {2, 5}
    # 1 + 0.3 + 0.7 = 2 m is possible without a bleed, the pump's pocket counted once.
    assert Rises((0.0, 1.0, 1.0), (0.3, 0.7, 0.0), (None, 0, None)).fewest(2.0) == set()


# What a way's rises are


def near(*rows: tuple[float, float, int | None]) -> tuple[object, ...]:
    """Heights, drops and high points of rises, given individually."""
    heights, drops, high_points = zip(*rows, strict=True)
    return pytest.approx(heights), pytest.approx(drops), high_points


def told(way: Rises) -> tuple[object, ...]:
    return way.heights, way.drops, way.high_points


@pytest.mark.parametrize(
    ("pressure", "suction", "rows"),
    [
        # Pump at -0.3; two high points with their drops of 0.5 and 0.6 m; the end at 0.5 m.
        # Above the water no bleed lets the air out for good.
        (
            TWO_HIGH_POINTS,
            ((1.0, -0.3),),
            [(-0.3, 0.0, None), (0.6, 0.5, None), (0.8, 0.6, None), (0.5, 0.0, None)],
        ),
        # Nor does the one at the second.
        (
            (*TWO_HIGH_POINTS[:3], "bleed", *TWO_HIGH_POINTS[3:]),
            ((1.0, -0.3),),
            [(-0.3, 0.0, None), (0.6, 0.5, None), (0.8, 0.6, None), (0.5, 0.0, None)],
        ),
        # Under it, and at an end under it, it does: the line stays full when the pump stops.
        (
            ((1.2, -0.1), "bleed", (1.0, -0.6), (1.0, -0.2), (1.0, -0.4), (1.0, 0.5)),
            ((1.0, -0.3),),
            [(-0.3, 0.0, None), (-0.1, 0.0, 0), (-0.2, 0.2, 1), (0.5, 0.0, None)],
        ),
        # Into the sea, 0.2 m under it: the last rise is to its surface.
        (
            ((1.2, 0.6), (1.0, -0.2)),
            ((1.0, -0.3),),
            [(-0.3, 0.0, None), (0.6, 0.8, 0), (0.0, 0.0, None)],
        ),
        # From a hump of -0.1 m through the pump at -0.3 to -0.7: 0.4 m of that leg is beyond it.
        (
            ((0.5, -0.7), (1.5, 0.6), (1.0, 0.2), (1.0, 0.5)),
            ((1.0, -0.1), (1.0, -0.3)),
            [(-0.3, 0.6, None), (0.6, 0.4, None), (0.5, 0.0, None)],
        ),
        # A bleed at that hump, under the waterline, lets its air out.
        (
            ((0.5, -0.7), (1.5, 0.5)),
            ((1.0, -0.1), "bleed", (1.0, -0.3)),
            [(-0.3, 0.0, None), (0.5, 0.0, None)],
        ),
        # The hump's leg ends at the pump, from which the line rises.
        (
            ((1.5, 0.5),),
            ((1.0, -0.1), (1.0, -0.3)),
            [(-0.3, 0.0, None), (0.5, 0.0, None)],
        ),
        # It ends before the pump.
        (
            ((1.5, 0.5),),
            ((1.0, 0.1), (1.0, -0.5), (1.0, -0.3)),
            [(-0.3, 0.0, None), (0.5, 0.0, None)],
        ),
    ],
)  # fmt: skip
def test_rises_are_the_pump_each_high_point_behind_it_and_the_end(
    pressure: Way, suction: Way, rows: list[tuple[float, float, int | None]]
) -> None:
    point = solve(loop_of(pressure, suction=suction))
    ((_, parts),) = point.network.paths()
    line = profile(point.network, parts)
    assert told(rises(line, find_high_points(line, point))) == near(*rows)


def needed(suction: Way, pressure: Way) -> float:
    point = solve(loop_of(pressure, suction=suction, outlet_bleed=False))
    ((_, parts),) = point.network.paths()
    line = profile(point.network, parts)
    return rises(line, find_high_points(line, point)).head


def test_a_high_point_just_before_the_pump_takes_no_less_once_it_is_the_suctions_own() -> None:
    """10 mm above the pump it is the pump's own high point, at 40 mm one of the suction line.

    The pocket after it extends from its top either way: 0.7 and 0.73 m down to the low point.
    """
    pressure = ((0.7, -0.9), (1.5, 0.5))
    little, more = (needed(((1.0, -0.21 + up), (0.3, -0.21)), pressure) for up in (0.01, 0.04))
    assert little == pytest.approx(0.5 + 0.70)
    assert more == pytest.approx(0.5 + 0.73)


@given(
    st.lists(st.integers(-45, 10), min_size=1, max_size=3),
    st.lists(st.integers(-30, 150), min_size=1, max_size=5),
    st.integers(1, 20),
    st.data(),
)
@settings(max_examples=60, deadline=None)
def test_no_high_point_that_is_raised_takes_less_head_to_start(
    before: list[int], behind: list[int], by: int, data: st.DataObject
) -> None:
    """Heights in cm. The air it traps may be elsewhere, but never takes less."""

    def way(heights: list[int]) -> Way:
        return tuple((4.0, height / 100) for height in heights)

    both = [*before, *behind]
    place = data.draw(st.integers(0, len(both) - 1))
    around = both[max(place - 1, 0) : place + 2]
    assume(both[place] == max(around) and both.count(both[place]) == 1)
    raised = [h + by * (i == place) for i, h in enumerate(both)]
    was = needed(way(before), way(behind))
    now = needed(way(raised[: len(before)]), way(raised[len(before) :]))
    assert now >= was - 1e-9


def stretch(way: Way, span: tuple[float, float], end: float) -> Rises:
    """Rises between two distances along a submerged path, at the heights they would have dry."""
    point = solve(sunk(way, outlet_bleed=False))
    ((_, parts),) = point.network.paths()
    line: Profile = profile(point.network, parts)
    at = [i for i, p in enumerate(line.points) if span[0] <= p.distance <= span[1]]
    found = rises_between(line, find_high_points(line, point), (at[0], at[-1]), end - SUNK)
    return replace(found, heights=tuple(height + SUNK for height in found.heights))


@pytest.mark.parametrize(
    ("span", "end", "rows"),
    [
        # From 0.1 m (3.2 m along) over 0.8 to 0.2 m, where water stands lower, level, higher.
        ((3.2, 5.2), -0.5, [(0.1, 0.0, None), (0.8, 0.6, 1), (0.2, 0.0, None)]),
        ((3.2, 5.2), 0.2, [(0.1, 0.0, None), (0.8, 0.6, 1), (0.2, 0.0, None)]),
        ((3.2, 5.2), 0.4, [(0.1, 0.0, None), (0.8, 0.6, 1), (0.4, 0.0, None)]),
        # From the first top on: down from it first, with air in that leg.
        ((2.2, 5.2), 0.4, [(0.6, 0.0, None), (0.6, 0.5, 0), (0.8, 0.6, 1), (0.4, 0.0, None)]),
        # Only up: a start and an end.
        ((3.2, 4.2), 0.9, [(0.1, 0.0, None), (0.9, 0.0, None)]),
        ((3.2, 4.2), 0.0, [(0.1, 0.0, None), (0.8, 0.0, None)]),
    ],
)
def test_a_stretch_rises_from_its_start_over_its_high_points_to_the_water_at_its_end(
    span: tuple[float, float], end: float, rows: list[tuple[float, float, int | None]]
) -> None:
    assert told(stretch(TWO_HIGH_POINTS, span, end)) == near(*rows)


def test_a_bleed_on_a_stretch_lets_its_high_points_air_out() -> None:
    way = (*TWO_HIGH_POINTS[:3], "bleed", *TWO_HIGH_POINTS[3:])
    expected = near((0.6, 0.0, None), (0.6, 0.5, 0), (0.8, 0.0, 1), (0.4, 0.0, None))
    assert told(stretch(way, (2.2, 5.2), 0.4)) == expected


# Brought down


# Pump or header at 0.2 m, up to 2 m, down to 0.2 m, and 0.3 m at the end: 2.1 m.
ARCH = Rises((0.2, 2.0, 0.3), (0.0, 1.8, 0.0), (None, 0, None))


def test_a_line_brought_down_loses_of_its_drops_what_it_loses_of_its_height() -> None:
    """At c m the top's drop is c - 0.2, never below 0, and the end is reached at 0.3 or c."""
    assert told(ARCH.capped(1.0)) == near((0.2, 0.0, None), (1.0, 0.8, 0), (0.3, 0.0, None))
    assert told(ARCH.capped(0.1)) == near((0.2, 0.0, None), (0.1, 0.0, 0), (0.1, 0.0, None))
    assert told(ARCH.capped(2.5)) == told(ARCH)
    # The first top, the pump or the header, stays, and so does the air behind it.
    held = Rises((0.9, 2.0, 0.3), (0.4, 1.8, 0.0), (None, 0, None))
    assert told(held.capped(0.5)) == near((0.9, 0.4, None), (0.5, 0.3, 0), (0.3, 0.0, None))


@pytest.mark.parametrize(
    ("limit", "most"),
    [(3.0, 2.0), (2.1, 2.0), (1.5, 1.4), (0.5, 0.4), (0.25, 0.225), (0.2, 0.2), (0.19, None)],
)
def test_the_highest_that_a_line_may_lie(limit: float, most: float | None) -> None:
    """Above 0.3 m the head is 0.3 + c - 0.2; from 0.2 to 0.3 m it is 2 c - 0.2; below, the pump's.

    At a limit of 0.2 m exactly the pump's height is possible.
    """
    found = ARCH.highest(limit)
    assert found == (None if most is None else pytest.approx(most, abs=1e-8))


def test_air_behind_the_pump_leaves_less_for_the_rest() -> None:
    """0.4 m of it: c + 0.4 at the top, and 0.3 + 0.4 + c - 0.2 at the end, which is greater.

    At the waterline 0.4 m is still needed, plus the pump's own 0.2.
    """
    held = Rises((0.2, 2.0, 0.3), (0.4, 1.8, 0.0), (None, 0, None))
    assert held.highest(1.5) == pytest.approx(1.0)
    assert held.highest(0.4) == pytest.approx(0.0, abs=1e-8)
    assert held.highest(0.399) is None


def test_a_bleed_at_every_high_point_leaves_what_none_vents() -> None:
    way = Rises((0.0, 1.0, 1.0, 0.5), (0.3, 0.4, 0.2, 0.0), (None, 2, 5, None))
    assert told(way.vented) == near((0, 0.3, None), (1.0, 0, 2), (1.0, 0, 5), (0.5, 0, None))
    assert way.vented.ventable == set()


heights = st.lists(st.tuples(st.integers(-5, 20), st.integers(0, 9)), min_size=1, max_size=7)


@given(heights, st.integers(-30, 30))
def test_heads_go_up_with_the_whole_line(line: list[tuple[int, int]], by: int) -> None:
    tops, drops = zip(*((float(h), float(d)) for h, d in line), strict=True)
    raised = [height + by for height in tops]
    assert start_head(raised, drops) == start_head(tops, drops) + by
    for limit in (0.0, 5.0, 12.0):
        assert fewest_vents(raised, drops, limit + by) == fewest_vents(tops, drops, limit)


def test_the_weakest_speed_is_the_lowest_voltage_over_the_jobs() -> None:
    assert weakest_speed(network("demo-dc-320", None, "9 V")) == pytest.approx(0.75)
    assert weakest_speed(network("demo-dc-320", "10 V", "9 V")) == pytest.approx(0.9)
    assert weakest_speed(network("demo-dc-320", "10 V", "14 V")) == 1
    assert weakest_speed(network("demo-ac-350", None, "60 V")) == 1
