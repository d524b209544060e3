"""The operating point and its stations: heads close, pressures follow, bands hold the middle."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loop.hydraulics import OperatingPoint, flow_band, solve, solve_flows
from loop.hydraulics.build import scoop_head
from loop.hydraulics.manifolds import manifolds
from loop.hydraulics.network import SEA_IN, SEA_OUT
from loop.job import Fitted
from loop.parts.friction import GRAVITY
from tests.loops import job_of
from tests.random_jobs import random_job
from tests.test_flow_paths import SHUT, nested
from tests.test_network import overboard, rejoining

seeds = st.integers(0, 2**32 - 1)
some = settings(max_examples=20, deadline=None)


def point_of(seed: int, depth: int) -> OperatingPoint:
    return solve(random_job(np.random.default_rng(seed), 3, depth))


@some
@given(seeds)
def test_total_head_closes_around_the_loop(seed: int) -> None:
    """From sea to sea: scoop, pump and losses add up to the outlet's head, to 1e-9 m."""
    point = point_of(seed, depth=0)
    if point.flow > 0 and point.settled:
        lost = sum(station.head_loss for station in point.stations)
        (line,) = point.network.lines
        around = point.network.start_head + point.pump_head - lost - line.outlet_head
        assert around == pytest.approx(0.0, abs=max(1e-9, 2 * point.residual))
        assert point.stations[-1].total_head == pytest.approx(line.outlet_head, abs=1e-8)


@some
@given(seeds, st.integers(0, 2))
def test_head_falls_by_each_loss_and_rises_by_the_pump(seed: int, depth: int) -> None:
    """In the order of the file, also in lines that run against it."""
    point = point_of(seed, depth)
    network = point.network
    for line, flow in zip(network.lines, point.line_flow, strict=True):
        for before, here in zip(line.parts, line.parts[1:], strict=False):
            if flow == 0:
                continue
            gain = point.pump_head if here == network.pump_index else 0.0
            step = point.stations[before].total_head + gain - point.stations[here].head_loss
            assert point.stations[here].total_head == pytest.approx(step, abs=1e-9)


@some
@given(seeds, st.integers(0, 2))
def test_every_joint_has_one_head(seed: int, depth: int) -> None:
    """At the ends of all lines with flow, in either direction; the sea has its own."""
    assert_joints_agree(point_of(seed, depth))


def assert_joints_agree(point: OperatingPoint) -> None:
    if not point.settled:
        return
    network = point.network
    heads: dict[int, list[float]] = {joint: [] for joint in range(network.joints)}
    for line, flow in zip(network.lines, point.line_flow, strict=True):
        if abs(flow) <= 1e-9:
            continue
        first, last = (point.stations[line.parts[place]] for place in (0, -1))
        gain = point.pump_head if line.parts[0] == network.pump_index else 0.0
        begins = first.total_head + first.head_loss - gain
        for end, head in ((line.start, begins), (line.end, last.total_head)):
            sea = {SEA_IN: network.start_head, SEA_OUT: line.outlet_head}
            if end in sea:
                assert head == pytest.approx(sea[end], abs=1e-7)
            else:
                heads[end].append(head)
    for found in heads.values():
        assert found == pytest.approx(found[:1] * len(found), abs=1e-7)


def test_heads_agree_where_water_runs_backwards() -> None:
    point = solve(nested(SHUT).job)
    assert (point.line_flow < 0).sum() == 2
    assert_joints_agree(point)
    for index, station in enumerate(point.stations):
        if station.flow < 0:
            assert station.head_loss < 0
            own = point.network.parts[index].head_loss(-station.flow, point.network.water)
            tees = station.head_loss + own
            assert abs(tees) < own or tees == pytest.approx(0.0, abs=1e-12)


def test_a_manifold_tells_of_the_water_that_comes_to_it() -> None:
    """Its flow and head are those at the end of the line before it, in whatever branch."""
    met = 0
    for seed in range(12):
        point = point_of(seed, depth=2)
        for fork in point.network.forks:
            line = point.network.line_of[fork.manifold]
            manifold = point.stations[fork.manifold]
            before = point.stations[point.network.lines[line].parts[-1]]
            if point.line_flow[line] > 0:
                assert manifold.flow == before.flow == point.line_flow[line]
                assert manifold.total_head == before.total_head
                met += len(point.network.forks) > 1
    assert met > 5


@some
@given(seeds, st.integers(0, 2))
def test_gauge_pressure_is_the_head_above_the_height_and_the_speed(seed: int, depth: int) -> None:
    point = point_of(seed, depth)
    weight = point.network.water.density * GRAVITY
    for station in point.stations:
        moving = 0.0 if station.kind == "discharge" else station.velocity**2 / (2 * GRAVITY)
        column = station.total_head - station.height - moving
        assert station.gauge_pressure == pytest.approx(weight * column)


@some
@given(seeds, st.integers(0, 2))
def test_the_band_holds_the_middle(seed: int, depth: int) -> None:
    point = point_of(seed, depth)
    assert (point.line_low <= np.maximum(point.line_flow, 0) + 1e-12).all()
    assert (point.line_high >= point.line_flow - 1e-12).all()
    assert point.flow_low <= point.flow <= point.flow_high


def test_the_band_is_as_wide_about_the_exact_answer_as_on_the_tables() -> None:
    point = solve(job_of())
    rough = solve_flows(point.network).line_flow[0]
    low, high = flow_band(point.network, rough)
    assert point.line_flow != pytest.approx(rough, rel=1e-6)
    assert point.line_high - point.line_flow == pytest.approx(high - rough, rel=1e-9)
    assert point.line_flow - point.line_low == pytest.approx(rough - low, rel=1e-9)
    assert (point.flow_low, point.flow_high) == (point.line_low[0], point.line_high[0])


def test_stations_of_the_plain_loop_by_hand() -> None:
    point = solve(job_of())
    names = [station.kind for station in point.stations]
    assert names[:3] == ["intake", "seacock", "hose"]
    assert [s.height for s in point.stations][:3] == pytest.approx([-0.4064, -0.4064, -0.3048])
    assert all(s.flow == point.flow for s in point.stations)
    assert point.pump_inlet == point.stations[4]
    assert point.part_flow(5) == (point.flow, point.flow_low, point.flow_high)
    hose = point.stations[2]
    assert hose.velocity == pytest.approx(point.flow / (math.pi / 4 * 0.01905**2))
    # The jet leaves at its own height, and at the sea's pressure.
    assert point.stations[-1].total_head == pytest.approx(5 * 0.0254)
    assert point.stations[-1].gauge_pressure == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize(("facing", "share"), [("forward", 0.5), ("flush", 0.0), ("aft", -0.3)])
def test_a_scoop_gains_or_loses_its_share_of_the_speeds_head(facing: str, share: float) -> None:
    assert scoop_head(facing, 3.0) == pytest.approx(share * 9 / (2 * 9.80665))
    still, moving = (
        solve(job_of((1, "facing", facing), ("boat", "speed", speed))).flow
        for speed in ("0 knot", "6 knot")
    )
    assert np.sign(moving - still) == np.sign(share)


def test_a_tees_loss_counts_with_its_branchs_first_and_last_part() -> None:
    """Only there: whatever a part loses beyond its own loss and steps is the header's, or zero."""
    for network in (rejoining(), overboard()):
        point = solve(network.job)
        (fork,) = network.forks
        flows = point.line_flow[None, :]
        leaving, returning = manifolds((fork,), flows.shape[1]).losses(flows, exact=True)
        beyond = np.array(
            [
                station.head_loss - network.head_loss(index, station.flow)
                for index, station in enumerate(point.stations)
            ]
        )
        expected = np.zeros(len(network.parts))
        for first, last in zip(fork.first, fork.last, strict=True):
            expected[network.lines[first].parts[0]] += leaving[0, first]
            if last is not None:
                expected[network.lines[last].parts[-1]] += returning[0, last]
        assert np.count_nonzero(expected) >= 2
        assert beyond == pytest.approx(expected, abs=1e-12)


def test_a_discharge_below_the_water_has_no_static_head() -> None:
    """At sea pressure at any depth: depth costs nothing, height costs itself."""

    def flow(height: str) -> float:
        return solve(job_of((10, "to", height), (11, "height", height))).flow

    assert flow("-2 in") == pytest.approx(flow("-6 in"), rel=1e-9)
    assert flow("0 in") == pytest.approx(flow("-2 in"), rel=1e-9)
    assert flow("20 in") < flow("5 in") < flow("0 in")


def test_power_follows_the_speed_and_the_count() -> None:
    point = solve(job_of())
    curve = point.network.pump.curve
    assert point.power == pytest.approx(float(curve.power(point.flow)))
    slow = solve(job_of((6, "frequency", "50 Hz")))
    speed = 50 / 60
    assert slow.power == pytest.approx(float(curve.power(slow.flow / speed)) * speed**3)
    two = solve(job_of((6, "count", 2)))
    assert two.power == pytest.approx(2 * float(curve.power(two.flow / 2)))
    assert two.flow > point.flow


def test_a_pump_fitted_slower_takes_the_power_of_its_speed() -> None:
    job = job_of((6, "frequency", "50 Hz"))
    point = solve(job.model_copy(update={"fitted": Fitted(pump=0.9)}))
    curve, speed = point.network.pump.curve, 0.9 * 50 / 60
    assert point.power == pytest.approx(float(curve.power(point.flow / speed)) * speed**3)


def test_past_the_pumps_last_point_is_told() -> None:
    easy = solve(
        job_of(
            ("defaults", "bore", "1-1/4 in"),
            (9, "loss", "0.05 psi at 240 gal/h"),
            (1, "facing", "forward"),
            ("boat", "speed", "14 knot"),
        )
    )
    assert easy.past_curve
    assert easy.flow > easy.network.pump.curve.last_flow
    assert not solve(job_of()).past_curve


def test_a_point_reads_as_a_person_would_write_it() -> None:
    point = replace(solve(job_of()), flow=1e-4)
    vars(point)["_band"] = np.array([[0.9e-4], [1.2e-4]])
    assert "flow=6.00 L/min [5.40 to 7.20]" in repr(point)  # 0.1 L/s
    text = repr(solve(job_of()))
    assert text.startswith("OperatingPoint(")
    assert "at shut-off" in text
