"""High and low points by hand: where they are, how far they reach, what their legs hold."""

import math
from typing import Any

import pytest

from loop.air.air_paths import AirPath, air_paths
from loop.hydraulics import solve
from loop.hydraulics.clearing import clearing_froude
from loop.parts.friction import GRAVITY
from tests.test_air import (
    HANDBOOK_FLOW,
    ONE_AND_A_QUARTER,
    TWO_HIGH_POINTS,
    Way,
    air_of,
    loop_of,
    sunk,
)

WIDE = ONE_AND_A_QUARTER


def near(*values: float) -> Any:
    return pytest.approx(values, abs=1e-9)


# Where they are


def test_two_high_points_and_their_low_points_by_hand() -> None:
    """Intake -0.4, pump at 1 m; tops at 2.2 and 4.2 m, low points at 3.2 and 5.2 m, end at 6.2 m.

    A bleed counts as at a turn within 25 mm of its height: 25 mm over the slope of each hose.
    """
    path = air_of(loop_of(TWO_HIGH_POINTS))
    first, second = path.high_points
    assert (first.distance, first.height, first.before, first.after) == near(2.2, 0.6, -0.4, 0.1)
    assert (first.start, first.end) == near(2.2 - 0.025 / (0.9 / 1.2), 2.2 + 0.025 / 0.5)
    assert (second.distance, second.height, second.before, second.after) == near(4.2, 0.8, 0.1, 0.2)
    assert (second.start, second.end) == near(4.2 - 0.025 / 0.7, 4.2 + 0.025 / 0.6)
    assert (first.drop, second.drop) == near(0.5, 0.6)
    assert (*first.leg, *second.leg) == near(2.2, 3.2, 4.2, 5.2)
    # After the intake, a hose, the pump and its bleed: hoses 4 to 8.
    assert [(c.part, c.on_part) for c in path.high_points] == [(4, False), (6, False)]
    assert (first.along, second.along) == near(1.2, 1.0)
    assert [(c.side, c.open_end, c.bleed, c.state == c.running) for c in path.high_points] == [
        ("pressure", False, None, True)
    ] * 2
    low, lower = path.low_points
    assert (low.distance, low.height, low.start, low.end) == near(
        3.2, 0.1, 3.2 - 0.025 / 0.5, 3.2 + 0.025 / 0.7
    )
    assert (lower.distance, lower.height, lower.start, lower.end) == near(
        5.2, 0.2, 5.2 - 0.025 / 0.6, 5.2 + 0.025 / 0.3
    )
    assert [low_point.part for low_point in path.low_points] == [5, 7]


def test_pressure_at_a_high_point_is_its_stations() -> None:
    job = loop_of(((1.0, 0.1), (1.0, -0.2), (2.0, 1.5), (2.0, 0.0)))
    point = solve(job)
    (path,) = air_paths(point.network, point)
    for high_point in path.high_points:
        station = point.stations[high_point.part]
        assert high_point.gauge_pressure == pytest.approx(station.gauge_pressure)
        assert high_point.negative_pressure is (station.gauge_pressure < 0)
    # The water that falls from 1.5 m to sea level pulls on the top; the low one is under pressure.
    assert [high_point.negative_pressure for high_point in path.high_points] == [False, True]


def test_an_intake_above_its_pump_is_no_high_point() -> None:
    """The line falls from the sea to the pump, and rises after it."""
    path = air_of(loop_of(((1.5, 0.5),), suction=((1.0, -0.8),)))
    assert path.high_points == ()
    assert path.suction.humps == ()
    assert [low_point.height for low_point in path.low_points] == [-0.8]


def test_a_bleed_as_high_as_a_high_point_but_elsewhere_does_not_vent_it() -> None:
    way: Way = ((1.2, 0.6), (1.0, 0.1), (1.0, 0.6), "bleed", (0.5, 1.0), (1.0, 0.5))
    path = air_of(loop_of(way))
    assert path.bleeds[1].place == "slope"
    assert path.high_points[0].bleed is None


def test_a_through_hull_under_water_is_no_low_point() -> None:
    path = air_of(loop_of(((1.2, 0.6), (1.0, -0.2))))
    assert path.low_points == ()
    assert len(path.high_points) == 1
    assert path.high_points[0].after == -0.2


@pytest.mark.parametrize(("below", "at_high_point"), [(0.010, True), (0.014, True), (0.016, False)])
def test_at_a_small_high_point_a_bleed_counts_within_half_its_swing(
    below: float, at_high_point: bool
) -> None:
    """A top of 30 mm: within 15 mm of it. Lower it is in the low point, which is just as small."""
    leg: Way = ((2.0, 0.6), (1.0, 0.6 - below), "bleed", (1.0, 0.57), (1.0, 0.9))
    path = air_of(loop_of(leg))
    assert path.bleeds[1].place == ("high point" if at_high_point else "low point")


@pytest.mark.parametrize(("below", "at_high_point"), [(0.024, True), (0.026, False)])
def test_at_a_large_high_point_a_bleed_counts_within_25_mm(
    below: float, at_high_point: bool
) -> None:
    leg: Way = ((2.0, 0.6), (1.0, 0.6 - below), "bleed", (1.0, 0.1), (1.0, 0.9))
    path = air_of(sunk(leg))
    assert path.bleeds[1].place == ("high point" if at_high_point else "slope")
    assert (path.high_points[0].state == "vented") is at_high_point
    # And so on the way up to it.
    rise: Way = ((1.0, 0.6 - below), "bleed", (1.0, 0.6), (1.0, 0.1), (1.0, 0.9))
    assert air_of(loop_of(rise)).bleeds[1].place == ("high point" if at_high_point else "slope")


# What their legs hold


def test_a_level_top_that_holds_air_belongs_to_the_pocket() -> None:
    """240 gal/h in 1-1/4 in hose: Froude number 0.57, below 0.61 for a level pipe: held in both."""
    way: Way = ((1.2, 0.6), (2.0, 0.6), (1.5, 0.1), (1.0, 0.5))
    (high_point,) = air_of(loop_of(way, bore=WIDE), flow=HANDBOOK_FLOW).high_points
    assert high_point.pockets == (near(2.2, 5.7),)
    assert (*high_point.leg, high_point.distance) == near(2.2, 5.7, 4.2)


def test_a_narrow_hose_between_two_wide_ones_parts_the_pocket() -> None:
    def piece(to: float, bore: float) -> dict[str, Any]:
        return {"kind": "hose", "length": 1.0, "to": to, "bore": bore}

    wide_end = (piece(0.1, WIDE), piece(0.0, WIDE))
    leg: Way = ((1.2, 0.6), piece(0.4, WIDE), piece(0.2, 0.012), *wide_end, (1.0, 0.4))
    path = air_of(loop_of(leg), flow=HANDBOOK_FLOW)
    (high_point,) = path.high_points
    assert high_point.running == "held"
    assert high_point.pockets == path.pockets == (near(2.2, 3.2), near(4.2, 6.2))
    # The wide hose is the one that is hardest to sweep: its bore, its speed and its limits.
    assert high_point.bore == WIDE
    assert high_point.velocity == pytest.approx(HANDBOOK_FLOW / (math.pi / 4 * WIDE**2))
    assert high_point.slope == pytest.approx(math.asin(0.2))
    wave = math.sqrt(9.80665 * WIDE)
    assert [limit / wave for limit in high_point.clearing] == pytest.approx(
        [float(f) for f in clearing_froude(high_point.slope)]
    )


def test_where_air_is_held_rules_over_where_it_may_stay() -> None:
    """A level top, Froude number 0.74: it may stay there, between 0.61 and 0.825.

    After it a vertical leg at 1.06, below the 1.075 that would start to move it: held, although the
    top is further short of being swept, 0.74/0.825 = 0.897 against 1.06/1.17 = 0.906.
    """
    narrow = 0.025
    flow = 1.06 * math.sqrt(GRAVITY * narrow) * math.pi / 4 * narrow**2
    # Froude number at one flow goes as bore^(-5/2).
    wide = narrow * (1.06 / 0.74) ** 0.4
    top = {"kind": "hose", "length": 1.0, "to": 0.6, "bore": wide}
    leg = {"kind": "hose", "length": 0.5, "to": 0.1, "bore": narrow}
    (high_point,) = air_of(loop_of(((1.2, 0.6), top, leg, (1.0, 0.5))), flow=flow).high_points
    assert high_point.froude == pytest.approx(1.06)
    assert (high_point.running, high_point.bore) == ("held", narrow)
    assert high_point.pockets == (near(2.2, 3.7),)


def test_parts_without_length_do_not_make_a_leg_steep() -> None:
    gentle: Way = ((1.2, 0.6), (4.0, 0.2), (1.0, 0.5))
    fitted: Way = (gentle[0], "tee", (2.0, 0.4), "tee", "bleed", (2.0, 0.2), "tee", gentle[2])
    (plain,), (other,) = (air_of(loop_of(way)).high_points for way in (gentle, fitted))
    assert plain.slope == pytest.approx(math.asin(0.1))
    assert other.slope == pytest.approx(plain.slope)
    assert not other.extrapolated
    # A bump too small to count, on the leg, does not count as a slope down either.
    bump: Way = ((1.2, 0.6), (2.0, 0.4), (2.0, 0.42), (2.0, 0.2), (1.0, 0.5))
    (high_point,) = air_of(loop_of(bump)).high_points
    assert high_point.slope == pytest.approx(math.asin(0.11))
    assert high_point.leg == near(2.2, 8.2)


@pytest.mark.parametrize("step", [0.005, -0.005])
def test_a_step_to_the_outlet_within_a_tape_measures_error_is_no_upright_leg(step: float) -> None:
    """The last hose falls 1 in 10; the through-hull is stated 5 mm lower, or higher."""
    job = loop_of(((1.2, 0.6), (5.0, 0.1)))
    outlet = job.part[-1].model_copy(update={"height": 0.1 - step})
    (high_point,) = air_of(job.model_copy(update={"part": (*job.part[:-1], outlet)})).high_points
    assert high_point.slope == pytest.approx(math.asin(0.1))
    assert not high_point.extrapolated
    assert high_point.after == pytest.approx(min(0.1, 0.1 - step))


def test_the_measured_slopes_end_at_22_degrees() -> None:
    for degrees, beyond in ((21.9, False), (22.1, True)):
        fall = 2.0 * math.sin(math.radians(degrees))
        (high_point,) = air_of(loop_of(((1.5, 1.0), (2.0, 1.0 - fall), (1.0, 0.9)))).high_points
        assert high_point.slope == pytest.approx(math.radians(degrees))
        assert high_point.extrapolated is beyond


# On which side of the pump


def path_over(hump: float, pump: float, suction_bleed: bool = False) -> AirPath:
    """Up to `hump`, down (or up) to the pump, down to -0.8 m, up to 0.5 m."""
    suction: Way = ((1.0, hump), *(("bleed",) if suction_bleed else ()), (1.0, pump))
    return air_of(loop_of(((1.0, -0.8), (1.4, 0.5)), suction=suction, outlet_bleed=False))


def test_a_hump_is_on_the_suction_side_if_it_falls_25_mm_to_the_pump() -> None:
    for fall, side in ((0.024, "pressure"), (0.025, "suction"), (0.3, "suction")):
        path = path_over(-0.1, -0.1 - fall)
        assert [high_point.side for high_point in path.high_points] == [side]
        assert len(path.suction.humps) == (side == "suction")
    # If the pump itself is the top, the air is on its outlet's side, and vented there.
    path = path_over(-0.3, -0.1)
    assert [(high_point.side, high_point.distance) for high_point in path.high_points] == [
        ("pressure", 2.0)
    ]
    assert path.high_points[0].leg == near(2.0, 3.0)


def test_a_hump_that_the_pump_all_but_tops_has_its_leg_from_the_pump_on() -> None:
    """10 mm down to the pump: the leg that fills with air starts at the pump, not before it."""
    (high_point,) = path_over(-0.1, -0.11).high_points
    assert high_point.leg == near(2.0, 3.0)
    assert high_point.distance == 2.0
    assert high_point.height == -0.1


@pytest.mark.parametrize(("top", "vents"), [(-0.001, True), (0.0, False), (0.001, False)])
def test_at_the_waterline_a_suction_bleed_vents_nothing(top: float, vents: bool) -> None:
    """Sea pressure at sea level drives no air out."""
    path = path_over(top, -0.3, suction_bleed=True)
    assert (path.high_points[0].bleed is not None) is vents
    assert [hump.above_water for hump in path.suction.humps] == [top > 0]
