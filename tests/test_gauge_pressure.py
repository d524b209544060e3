"""Pressure along a path: in hoses, in standing water, and where a valve would draw air."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from loop.air.air_paths import air_paths
from loop.hydraulics import OperatingPoint, solve
from loop.hydraulics.gauge_pressure import draws_air, gauge_pressure
from loop.hydraulics.line_profile import Profile
from loop.parts.friction import GRAVITY, velocity
from tests.test_air import loop_of

# The pump's bore, so that no step of bore counts with the hose at its end.
PORT = 0.75 * 0.0254


def hose(length: float, to: float, **more: Any) -> dict[str, Any]:
    return {"kind": "hose", "length": length, "to": to, "barbs": 0, **more}


def solved(pressure: Sequence[Any], **more: Any) -> tuple[OperatingPoint, Profile]:
    point = solve(loop_of(pressure, **more))
    (path,) = air_paths(point.network, point)
    return point, path.profile


def test_pressure_inside_a_hose_is_that_of_a_hose_cut_there() -> None:
    """Without barbs a hose is the same in one piece or three; cut, its points are stations."""
    via = [{"at": 1.0, "height": 0.6}, {"at": 2.5, "height": 0.1}]
    whole, line = solved([hose(3.5, 0.5, via=via)], outlet_bleed=False, bore=PORT)
    inner = [hose(1.0, 0.6), hose(1.5, 0.1), hose(1.0, 0.5)]
    cut, pieces = solved(inner, outlet_bleed=False, bore=PORT)
    assert cut.flow == pytest.approx(whole.flow, rel=1e-9)
    assert [p.distance for p in line.points] == [p.distance for p in pieces.points]
    found = [gauge_pressure(whole, line, i) for i in range(len(line.points) - 1)]
    stations = [station.gauge_pressure for station in cut.stations[:-1]]
    assert found == pytest.approx(stations, abs=0.01)
    # From the high point to the low point: 0.5 m of water more, less 1.5 of 3.5 parts of the hose's
    # loss.
    gained = 0.5 - whole.stations[3].head_loss * 1.5 / 3.5
    weight = whole.network.water.density * GRAVITY
    assert found[4] - found[3] == pytest.approx(gained * weight)


def test_pressure_is_head_less_height_and_speed_along_the_whole_way() -> None:
    point, line = solved([(1.2, 0.6), "bleed", (1.0, 0.1), (1.0, 0.5)])
    weight = point.network.water.density * GRAVITY
    pairs = list(zip(line.points, point.stations, strict=True))[:-1]  # the jet's speed is spent
    for position, (place, station) in enumerate(pairs):
        column = station.total_head - place.height - station.velocity**2 / (2 * GRAVITY)
        assert gauge_pressure(point, line, position) == pytest.approx(weight * column)


def test_pumps_side_by_side_share_the_flow_in_their_ports() -> None:
    """Each port has half of it: a quarter of the velocity head of a single pump."""
    job = loop_of([(1.2, 0.6), (1.0, 0.1)])
    pump = job.pump.model_copy(update={"count": 2})
    parts = tuple(pump if part is job.pump else part for part in job.part)
    point = solve(job.model_copy(update={"part": parts}))
    (path,) = air_paths(point.network, point)
    line, station = path.profile, point.stations[point.network.pump_index]
    assert station.velocity == pytest.approx(velocity(point.flow / 2, job.pump.inner_bore))
    assert gauge_pressure(point, line, line.pump) == pytest.approx(station.gauge_pressure)


def standing(point: OperatingPoint) -> OperatingPoint:
    return replace(point, line_flow=np.zeros_like(point.line_flow))


def test_water_that_stands_draws_no_air() -> None:
    """The same heads, below atmospheric: a valve there draws air only in running water."""
    point, line = solved([(1.2, 0.6), (1.0, 0.1)], suction=((1.0, -0.02), "bleed"))
    (bleed, _) = line.bleeds
    assert gauge_pressure(point, line, bleed) < -100
    assert gauge_pressure(standing(point), line, bleed) < -100
    assert draws_air(point, line, bleed)
    assert not draws_air(standing(point), line, bleed)


@pytest.mark.parametrize(
    ("column", "draws"), [(1.0, False), (0.0, False), (-1e-5, False), (-1e-3, True), (-1.0, True)]
)
def test_air_is_drawn_below_the_airs_pressure_but_for_rounding(column: float, draws: bool) -> None:
    """A millimeter of water below atmospheric draws air; heads are accurate to 1e-8 m."""
    point, line = solved([(1.2, 0.6), "bleed", (1.0, 0.1)])
    position = line.bleeds[-1]
    here = line.points[position]
    head = here.height + velocity(point.flow, 0.019) ** 2 / (2 * GRAVITY) + column
    stations = list(point.stations)
    stations[here.part] = replace(stations[here.part], total_head=head)
    other = replace(point, stations=tuple(stations))
    assert gauge_pressure(other, line, position) == pytest.approx(
        column * point.network.water.density * GRAVITY, abs=1e-6
    )
    assert draws_air(other, line, position) is draws
