"""Heads of standing water: behind shut valves, before check valves, below outlets."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loop.hydraulics import OperatingPoint, Station, solve
from loop.margins.suction import npsh_available
from loop.parts import Discharge, Pump, Seacock
from loop.parts.friction import GRAVITY
from loop.seawater import ATMOSPHERE
from tests.loops import job_of
from tests.random_jobs import random_job
from tests.test_network import HOSE, job_with, unit

Table = dict[str, Any]
SHUT: Table = {"kind": "seacock", "open": 0.0, "bore": 0.019}
CHECK: Table = {"kind": "check valve", "bore": 0.019}


def out(height: float) -> Table:
    return {"kind": "discharge", "height": height, "bore": 0.019}


def to(height: float) -> Table:
    return {**HOSE, "to": height}


def beside(*parts: Table, after: bool = False) -> OperatingPoint:
    """A branch of these parts, with a unit in it, beside one that discharges under water."""
    ways: list[Table] = [
        {"name": "a", "part": [to(0.0), *parts]},
        {"name": "b", "part": [to(0.0), unit(2), *([] if after else [to(-0.1), out(-0.1)])]},
    ]
    return solve(job_with(ways, after=after))


def branch(point: OperatingPoint, name: str) -> list[Station]:
    return [station for station in point.stations if station.branch == name]


def split(point: OperatingPoint) -> float:
    return next(s.total_head for s in point.stations if s.kind == "manifold")


def heads(stations: list[Station]) -> list[float]:
    return [station.total_head for station in stations]


def column(point: OperatingPoint, station: Station) -> float:
    """Gauge pressure as head of water [m]."""
    return station.gauge_pressure / (point.network.water.density * GRAVITY)


def test_water_before_a_shut_valve_has_the_joints_head_and_behind_it_the_outlets() -> None:
    point = beside(SHUT, to(-0.2), unit(1), to(0.15), out(0.15))
    found = branch(point, "a")
    assert heads(found) == pytest.approx([split(point), *[0.15] * 5])
    assert split(point) > 1
    assert [s.head_loss for s in found] == [0.0] * 6
    assert [column(point, s) for s in found[1:]] == pytest.approx([0.15, 0.35, 0.35, 0.0, 0.0])


def test_above_the_outlet_a_line_open_to_the_air_is_dry() -> None:
    point = beside(SHUT, to(0.3), unit(1), to(0.15), out(0.15))
    assert [column(point, s) for s in branch(point, "a")[1:]] == pytest.approx(
        [0.15, 0.0, 0.0, 0.0, 0.0], abs=1e-9
    )


def test_behind_a_shut_valve_water_hangs_on_the_sea_at_an_outlet_under_water() -> None:
    point = beside(SHUT, to(0.3), unit(1), to(-0.15), out(-0.15))
    found = branch(point, "a")
    assert heads(found)[1:] == [0.0] * 5
    assert column(point, found[2]) == pytest.approx(-0.3)


def test_behind_a_shut_valve_a_branch_that_rejoins_has_the_head_there() -> None:
    point = beside(SHUT, unit(1), to(0.0), after=True)
    found = branch(point, "a")
    joined = next(s for s in point.stations if s.branch == "b" and s.kind == "condenser")
    assert heads(found) == pytest.approx([split(point), *[joined.total_head] * 3], abs=1e-7)
    assert sum(s.head_loss for s in found) == 0
    # A valve at the branch's end passes the other head up to itself.
    end = heads(branch(beside(unit(1), to(0.0), SHUT, after=True), "a"))
    assert end == pytest.approx([split(point)] * 3 + [joined.total_head], abs=1e-7)


def test_a_check_valve_lets_the_joints_head_through_to_what_is_shut_behind_it() -> None:
    point = beside(CHECK, to(0.2), SHUT, unit(1), out(0.2))
    expected = [split(point)] * 3 + [0.2] * 3
    assert heads(branch(point, "a")) == pytest.approx(expected)


def test_water_between_two_shut_valves_has_the_head_before_them() -> None:
    point = beside(SHUT, to(0.1), SHUT, unit(1), to(-0.1), out(-0.1))
    assert heads(branch(point, "a")) == pytest.approx([split(point)] * 3 + [0.0] * 4)


def test_a_pump_that_cannot_lift_holds_its_column_below_the_outlet() -> None:
    """Parts above the water level are dry, including the discharge."""
    job = job_of((6, "frequency", "20 Hz"), (10, "to", "5 ft"), (11, "height", "5 ft"))
    point = solve(job)
    assert point.flow == 0
    assert 0.2 < point.shutoff_head < 1.0
    pump = point.network.pump_index
    assert heads(list(point.stations[:pump])) == [0.0] * pump
    for station in point.stations[pump:]:
        level = max(point.shutoff_head - station.height, 0.0)
        assert column(point, station) == pytest.approx(level, abs=1e-9)
    assert point.stations[-1].gauge_pressure == pytest.approx(0.0, abs=1e-6)


def test_with_the_suction_shut_water_hangs_open_to_the_outlet_and_the_pump_pulls() -> None:
    point = solve(job_of((2, "open", "0 %")))
    pump, height = point.network.pump_index, 5 * 0.0254
    assert point.stations[0].total_head == 0
    assert heads(list(point.stations[1:pump])) == pytest.approx(
        [height - point.shutoff_head] * (pump - 1)
    )
    for station in point.stations[pump:]:
        assert column(point, station) == pytest.approx(max(height - station.height, 0.0), abs=1e-9)
    assert math.isnan(npsh_available(point, point.network.water))


def test_no_pump_pulls_water_below_its_vapor_pressure() -> None:
    point = solve(job_of((2, "open", "0 %"), (6, "count", 4), (6, "arrangement", "series")))
    water = point.network.water
    assert point.shutoff_head > ATMOSPHERE / (water.density * GRAVITY)
    for station in point.stations[1 : point.network.pump_index]:
        assert station.gauge_pressure == pytest.approx(water.vapor_pressure - ATMOSPHERE)


def test_a_branch_whose_outlet_is_too_high_stands_at_the_joints_head() -> None:
    high = 2.0
    ways: list[Table] = [
        {"name": "a", "part": [to(0.1), unit(1), to(high), out(high)]},
        {"name": "b", "part": [to(0.0), {"kind": "tee", "bore": 0.04}, to(-0.1), out(-0.1)]},
    ]
    ways[1]["part"].insert(1, {**unit(2), "loss": "0.1 kPa at 10 L/min"})
    point = solve(job_with(ways, after=False))
    found = branch(point, "a")
    assert found[0].flow == 0
    assert 0.1 < split(point) < high
    assert heads(found) == pytest.approx([split(point)] * 2 + [high] * 2)
    assert found[-1].gauge_pressure == pytest.approx(0.0, abs=1e-6)


def test_with_all_branches_shut_the_pump_holds_its_head_and_the_rest_is_open_to_the_air() -> None:
    ways: list[Table] = [
        {"name": name, "part": [SHUT, to(0.0), unit(number)]} for number, name in enumerate("ab", 1)
    ]
    point = solve(job_with(ways))
    assert split(point) == pytest.approx(point.shutoff_head)
    behind = [*branch(point, "a"), *branch(point, "b"), *point.stations[-2:]]
    assert heads(behind) == pytest.approx([0.1] * len(behind))


def test_still_water_drains_to_the_lowest_outlet_that_it_comes_to() -> None:
    """With the suction shut, a check valve to a low outlet holds back nothing above it."""
    ways: list[Table] = [
        {"name": "a", "part": [to(0.0), unit(1), to(0.4), out(0.4)]},
        {"name": "b", "part": [CHECK, to(0.0), unit(2), to(0.1), out(0.1)]},
    ]
    job = job_with(ways, after=False)
    intake, *rest = job.part
    parts = (intake, Seacock.model_validate(SHUT), *rest)
    point = solve(job.model_copy(update={"part": parts}))
    assert split(point) == pytest.approx(0.1)


@settings(max_examples=24, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_laws_of_standing_water(seed: int) -> None:
    """No loss; atmospheric pressure at every outlet; one head except where a line is held or dry.

    Water is nowhere below its vapor pressure.
    """
    point = solve(random_job(np.random.default_rng(seed), 4, 2))
    network = point.network
    vacuum = network.water.vapor_pressure - ATMOSPHERE
    for line, flow in zip(network.lines, point.line_flow, strict=True):
        if flow != 0:
            continue
        for before, here in zip((None, *line.parts), line.parts, strict=False):
            part, station = network.parts[here], point.stations[here]
            assert station.head_loss == station.velocity == 0
            assert station.gauge_pressure >= vacuum - 1e-3
            if isinstance(part, Discharge) and part.height > 0:
                assert station.gauge_pressure == pytest.approx(0.0, abs=1e-3)
            held = part.shut or part.one_way or here in network.falls_held
            if before is None or held or isinstance(part, Pump):
                continue
            other = point.stations[before]
            floors = {
                round(s.gauge_pressure - floor) for s in (station, other) for floor in (0, vacuum)
            }
            assert station.total_head == pytest.approx(other.total_head) or 0 in floors
