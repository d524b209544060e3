"""Velocity of the water: limits, tubes, and the bore that would be within them."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from loop.hydraulics import solve
from loop.margins.speed import PartSpeed, part_speeds
from loop.parts.friction import velocity
from tests import dry_loops as dry
from tests.loops import job_of

# Parts of the plain loop, from 0: suction hoses 2 and 4, pressure hoses 7 and 9, condenser 8.
BORE = 0.75 * 0.0254
AREA = math.pi / 4 * BORE**2


def speeds(flow: float, *changes: Any) -> dict[int, PartSpeed]:
    point = solve(job_of(*changes))
    point = replace(point, line_flow=np.array([flow]))
    return {speed.index: speed for speed in part_speeds(point)}


def test_every_hose_has_its_speed_and_its_sides_limits() -> None:
    """Handbook, section 6: 1.5 m/s on the suction side, 2.5 on the pressure side, 0.6 at least."""
    found = speeds(AREA * 1.2)
    assert list(found) == [2, 4, 7, 9]
    for index, speed in found.items():
        assert speed.speed == pytest.approx(1.2)
        assert speed.suction is (index < 5)
        assert not speed.tube
        assert (speed.least, speed.most) == (0.6, 1.5 if index < 5 else 2.5)


def test_each_hose_has_its_own_bore() -> None:
    found = speeds(AREA * 1.2, (8, "bore", "1-1/2 in"))
    assert found[7].speed == pytest.approx(0.3)
    assert found[9].speed == pytest.approx(1.2)


def test_the_better_bore_runs_at_the_limit() -> None:
    """Too fast: at the upper limit; too slow: at the lower. Twice the velocity: √2 the bore."""
    fast = speeds(AREA * 3.0)
    assert fast[2].better_bore == pytest.approx(BORE * math.sqrt(2))
    assert fast[7].better_bore == pytest.approx(BORE * math.sqrt(3.0 / 2.5))
    for speed in fast.values():
        assert velocity(AREA * 3.0, speed.better_bore) == pytest.approx(speed.most)
    slow = speeds(AREA * 0.15)
    for speed in slow.values():
        assert speed.better_bore == pytest.approx(BORE / 2)
        assert velocity(AREA * 0.15, speed.better_bore) == pytest.approx(0.6)


def test_tubes_share_the_flow_and_scale_narrows_them() -> None:
    """Handbook: 1 to 2.5 m/s in copper-nickel. Four tubes of 10 mm, 1 mm of scale: 8 mm each."""
    flow = 4 * math.pi / 4 * 0.008**2 * 2.0
    tubes = [(9, "tube_bore", "10 mm"), (9, "tubes", 4), (9, "scale", "1 mm")]
    found = speeds(flow, *tubes)
    assert list(found) == [2, 4, 7, 8, 9]
    tube = found[8]
    assert tube.speed == pytest.approx(2.0)
    assert (tube.tube, tube.suction) == (True, False)
    assert (tube.least, tube.most) == (1.0, 2.5)
    assert tube.better_bore == pytest.approx(0.008)
    clean = speeds(flow, *tubes[:2])[8]
    assert clean.speed == pytest.approx(2.0 * 0.8**2)


@pytest.mark.parametrize("flow", [0.0, -1e-4])
def test_water_that_stands_or_runs_back_has_no_speed_to_judge(flow: float) -> None:
    assert speeds(flow) == {}


def test_even_a_trickle_is_judged() -> None:
    assert len(speeds(1e-7)) == 4


def test_a_branch_that_is_shut_hides_no_other() -> None:
    """Its hoses, in the middle of the file, have no velocity; the others have theirs."""
    point = solve(dry.loop_of(dry.manifold(dry.high(0.5, dry.SHUT), dry.LOW)))
    network = point.network
    hoses = [i for i, part in enumerate(network.parts) if part.kind == "hose"]
    assert {network.branches[i] for i in hoses} == {"", "high", "low"}
    judged = [speed.index for speed in part_speeds(point)]
    assert judged == [i for i in hoses if network.branches[i] != "high"]
