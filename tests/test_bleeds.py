"""Bleeds by hand calculation: what each serves, where a useless one belongs, the pump's own."""

from dataclasses import replace

import pytest

from loop.air.air_paths import air_paths
from loop.air.bleeds import high_point_bleed
from loop.hydraulics import solve
from loop.parts import Bleed, Manifold
from tests.loops import job_of
from tests.test_air import TWO_HIGH_POINTS, Way, air_of, branched, loop_of, sunk


@pytest.mark.parametrize(
    ("length", "to", "serves"),
    [
        (0.5, -0.2, True),
        (0.51, -0.2, False),
        (0.5, -0.324, True),  # 24 mm below the pump: no pocket between them
        (0.5, -0.326, False),
    ],
)
def test_a_bleed_serves_the_pump_within_half_a_metre_and_25_mm_down(
    length: float, to: float, serves: bool
) -> None:
    """The pump sits at -0.3 m; the line then rises to its end."""
    path = air_of(loop_of(((length, to), "bleed", (2.0, 0.5)), outlet_bleed=False))
    assert path.bleeds[0].serves_pump is serves
    assert [bleed.reason for bleed in path.proposed] == ([] if serves else ["pump outlet"])


def test_a_fall_of_just_25_mm_from_the_pump_is_a_pocket() -> None:
    """The pump is at the waterline, so that the fall is exactly that number."""
    way: Way = ((0.4, -0.025), "bleed", (2.0, 0.5))
    path = air_of(loop_of(way, suction=((1.0, 0.0),), outlet_bleed=False))
    assert not path.bleeds[0].serves_pump
    assert path.high_points[0].drop == 0.025


def test_a_bleed_before_the_pump_does_not_serve_its_outlet() -> None:
    path = air_of(loop_of(((2.0, 0.5),), suction=((1.0, -0.3), "bleed"), outlet_bleed=False))
    (bleed,) = path.bleeds
    assert (bleed.side, bleed.serves_pump, bleed.place) == ("suction", False, "slope")
    (proposed,) = path.proposed
    assert (proposed.reason, proposed.high_point, proposed.part) == ("pump outlet", None, 3)
    assert (proposed.distance, proposed.height) == (1.0, -0.3)
    assert (proposed.along, proposed.on_part, proposed.draws_air) == (0.0, False, False)


def test_the_pumps_own_bleed_vents_a_high_point_only_where_the_pump_is_one() -> None:
    """With high points elsewhere on the path; and with the pump itself the highest."""
    elsewhere = air_of(loop_of(TWO_HIGH_POINTS, outlet_bleed=False))
    top = air_of(loop_of(((0.5, -0.7), (1.0, 0.1), *TWO_HIGH_POINTS), outlet_bleed=False))
    for path, high_point in ((elsewhere, None), (top, 0)):
        (outlet,) = (bleed for bleed in path.proposed if bleed.reason == "pump outlet")
        assert outlet.high_point == high_point


def test_a_bleed_on_a_branch_does_not_serve_the_pump_that_all_share() -> None:
    """A manifold right after the pump: each branch's bleed is only inches away."""
    job = branched("ab")
    manifold = next(part for part in job.part if isinstance(part, Manifold))
    branches = tuple(
        branch.model_copy(update={"part": (Bleed(bore=0.019), *branch.part)})
        for branch in manifold.branch
    )
    at_pump = manifold.model_copy(update={"branch": branches})
    parts = (*job.part[:3], at_pump, *job.part[-2:])
    point = solve(job.model_copy(update={"part": parts}))
    for path in air_paths(point.network, point):
        assert [bleed.serves_pump for bleed in path.bleeds] == [False]
        assert "pump outlet" in {bleed.reason for bleed in path.proposed}


def test_a_useless_bleed_is_sent_to_the_air_that_it_misses() -> None:
    """Halfway down a leg, or in a low point on either side: to the high point before it.

    On a rise: to the one ahead.
    """
    tops: list[int | None] = []
    for way in (
        ((1.2, 0.6), (0.5, 0.35), "bleed", (0.5, 0.1), (1.0, 0.8), (1.0, 0.2), (1.0, 0.5)),
        ((1.2, 0.6), (1.0, 0.1), "bleed", (1.0, 0.8), (1.0, 0.2), (1.0, 0.5)),
        ((1.2, 0.6), (1.0, 0.1), (0.02, 0.11), "bleed", (1.0, 0.8), (1.0, 0.2), (1.0, 0.5)),
        ((1.2, 0.6), (1.0, 0.1), (0.5, 0.45), "bleed", (0.5, 0.8), (1.0, 0.2), (1.0, 0.5)),
        ((1.2, 0.6), (1.0, 0.1), (1.0, 0.8), (1.0, 0.2), "bleed", (1.0, 0.5)),
        ((1.2, 0.6), (1.0, 0.1), (1.0, 0.8), (1.0, 0.2), (0.5, 0.35), "bleed", (0.5, 0.5)),
        ((0.7, 0.1), "bleed", (0.5, 0.6), (1.0, 0.1), (1.0, 0.8), (1.0, 0.2), (1.0, 0.5)),
        ((1.2, 0.6), (1.0, 0.1), "bleed"),
    ):
        path = air_of(sunk(way))
        assert not path.bleeds[1].lets_out_air
        # Above the water there is no place at which a bleed lets air out for good.
        assert air_of(loop_of(way)).bleeds[1].high_point is None
        tops.append(path.bleeds[1].high_point)
    # On the rise after the last high point there is no air ahead; at the end of a leg it is
    # behind.
    assert tops == [0, 0, 0, 1, 1, None, 0, 0]


def test_a_bleed_in_a_low_point_between_vented_high_points_has_nowhere_to_go() -> None:
    way: Way = (
        TWO_HIGH_POINTS[0], "bleed", TWO_HIGH_POINTS[1], "bleed", TWO_HIGH_POINTS[2], "bleed",
        *TWO_HIGH_POINTS[3:],
    )  # fmt: skip
    path = air_of(sunk(way))
    assert [bleed.place for bleed in path.bleeds] == [
        "pump outlet",
        "high point",
        "low point",
        "high point",
    ]
    assert [bleed.high_point for bleed in path.bleeds] == [None, 0, None, 1]


def test_places_are_the_same_to_a_micrometre() -> None:
    high_points = air_of(loop_of(TWO_HIGH_POINTS)).high_points
    here = high_point_bleed(high_points, 0)
    assert here.key == replace(here, along=here.along + 1e-9).key
    assert here.key == replace(here, along=here.along + 3e-7).key
    assert here.key != replace(here, along=here.along + 4e-6).key
    assert here.key != replace(here, along=here.along + 1e-4).key
    assert here.key != high_point_bleed(high_points, 1).key
    assert (here.distance, here.height, here.part) == (
        high_points[0].distance,
        high_points[0].height,
        high_points[0].part,
    )


def test_a_bleed_is_proposed_with_its_warning_where_the_high_point_is_under_suction() -> None:
    """From 1.5 m down into the sea through 0.05 m: the fall pulls a vacuum at the top.

    Slow flow, through a fitting before the pump: the loss after the top is less than the fall.
    """
    slow: Way = ((1.0, -0.3), {"kind": "fitting", "k": 60})
    line: Way = ((2.0, 1.5), (2.0, 0.05), (1.0, 0.3), (1.0, -0.2))
    path = air_of(loop_of(line, suction=slow), shutoff_head=1.6)
    (bleed,) = path.proposed
    assert bleed.draws_air
    pushed = air_of(sunk(TWO_HIGH_POINTS), shutoff_head=0.75)
    assert not pushed.proposed[0].draws_air


# Starts


def test_a_start_on_the_very_head_is_a_start() -> None:
    way = sunk(TWO_HIGH_POINTS)
    path = air_of(way)
    same = air_of(way, shutoff_head=path.start_head)
    assert same.starts
    assert not same.starts_with_spare
    spare = air_of(way, shutoff_head=path.start_head / 0.9)
    assert spare.starts_with_spare
    assert spare.proposed == ()
    vented = air_of(way, shutoff_head=path.start_head_vented)
    assert vented.bleeds_suffice
    assert [bleed.high_point for bleed in vented.proposed] == [0, 1]


# Suction humps


def test_a_hump_above_the_water_stops_a_pump_that_does_not_prime_itself() -> None:
    above = air_of(loop_of(((1.0, 0.3),), suction=((1.0, 0.1), (1.0, -0.3)))).suction
    below = air_of(loop_of(((1.0, 0.3),), suction=((1.0, -0.1), (1.0, -0.3)))).suction
    assert (above.self_priming, above.stops_pump, below.stops_pump) == (False, True, False)
    assert not replace(above, self_priming=True).stops_pump
    assert not replace(above, humps=()).stops_pump
    pump = job_of().pump.curve.model_copy(update={"self_priming": True})
    primes = air_of(loop_of(((1.0, 0.3),), suction=((1.0, 0.1), (1.0, -0.3)), pump=pump)).suction
    assert (primes.self_priming, primes.stops_pump) == (True, False)


@pytest.mark.parametrize(
    ("suction", "moves", "rises"),
    [
        # Hump -0.1, low point -0.35 above the intake at -0.4: down to the low point.
        (((1.0, -0.1), (1.0, -0.35), (1.0, -0.2)), {1.0: -0.35}, True),
        # Low point at -0.8, below the intake: hump and low point both to the intake's height.
        (((1.0, -0.1), (1.0, -0.8), (1.0, -0.2)), {1.0: -0.4, 2.0: -0.4}, True),
        # A low point at the intake's very height need not come up.
        (((1.0, -0.1), (1.0, -0.4), (1.0, -0.2)), {1.0: -0.4}, True),
        # The pump is below the intake: that is as low as the line may go.
        (((1.0, -0.1), (1.0, -0.8), (1.0, -0.6)), {1.0: -0.6, 2.0: -0.6}, False),
        # The hump itself is below the intake: down to the low point after it is enough.
        (((1.0, -0.8), (1.0, -0.6), (1.0, -0.7), (1.0, -0.3)), {2.0: -0.7}, False),
        # 20 mm above the intake does not count as a hump over it: as if it were below.
        (((1.0, -0.8), (1.0, -0.38), (1.0, -0.7), (1.0, -0.3)), {2.0: -0.7}, False),
    ],
)
def test_how_far_a_suction_hump_comes_down(
    suction: Way, moves: dict[float, float], rises: bool
) -> None:
    side = air_of(loop_of(((1.0, 0.3),), suction=suction)).suction
    (hump,) = side.humps
    assert {move.distance: move.to for move in side.moves} == pytest.approx(moves)
    assert side.rises is rises
    assert hump.high_point == 0
    assert (hump.distance, hump.height) == {
        True: (1.0, -0.1),
        False: (2.0, max(step[1] for step in suction[:2] if isinstance(step, tuple))),
    }[suction[0] == (1.0, -0.1)]
