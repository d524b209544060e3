"""One valve that throttles a flow, by hand, in loops with quadratic losses."""

from dataclasses import replace

import pytest

from loop.balancing.flow_limiting import LimitedFlows, limit_pump_flow, throttle
from loop.hydraulics import Network, build, flow_band, solve, solve_flows
from loop.job import Job
from loop.parts.friction import velocity_head
from loop.parts.seacock import added_coefficient
from tests.loops import Table
from tests.square_loops import INCH, seacock, square_job, unit, valve, way
from tests.test_settings import applied

HALF = 0.5 * INCH
NEEDS = {"a": 100.0, "b": 140.0}


def series(*parts: Table) -> Network:
    """A loop without branches: the unit, and these parts after it."""
    return build(square_job({"a": 100}, [], "demo-ac-700", unit("a"), *parts))


def flow_at(network: Network, k: float, bore: float = HALF) -> float:
    """Flow [m³/s] with added K on a bore: where the pump's head equals the losses, by bisection."""
    low, high = 0.0, 2e-3
    for _ in range(60):
        flow = (low + high) / 2
        lost = sum(network.head_loss(i, flow) for i in range(len(network.parts)))
        over = lost + k * velocity_head(flow, bore) - float(network.pump.curve.head(flow))
        low, high = (low, flow) if not over < 0 else (flow, high)
    return flow


def own() -> float:
    return seacock(HALF, 0.0).loss_coefficient(1e-4, series().water)


# One valve


@pytest.mark.parametrize("angle", [1, 12, 33, 47, 61, 78])
def test_the_smallest_angle_that_leaves_the_flow_with_room_is_told(angle: int) -> None:
    """At exactly the flow that an angle leaves there is no margin: the next angle is given."""
    network = series()
    flow = flow_at(network, own() + added_coefficient(angle))
    after = flow_at(network, own() + added_coefficient(angle + 1))
    fine = 1 - after / flow < 0.004  # a degree that does less than the room that is kept
    for asked, told in ((1.0055, angle), (1.0025, angle + 1)):
        valve_told = throttle(network, "a", asked * flow)
        assert valve_told.angle == told or (fine and told > angle and valve_told.angle > told)
        assert valve_told.flow <= asked * flow
        assert valve_told.flow == pytest.approx(
            flow_at(network, own() + valve_told.coefficient), rel=1e-3
        )
        assert valve_told.coefficient == pytest.approx(added_coefficient(valve_told.angle))
        assert (valve_told.part, valve_told.was, valve_told.unit) == (None, 0.0, "a")


@pytest.mark.parametrize("now", [0.0, 10.0, 46.0, 46.4])
def test_a_valve_that_stands_part_shut_is_turned_to_the_same_angle(now: float) -> None:
    network = series(valve(now))
    flow = flow_at(series(), own() + added_coefficient(47.0))
    told = throttle(network, "a", 1.006 * flow)
    assert told.angle == 47
    assert told.was == pytest.approx(now)
    assert told.coefficient == pytest.approx(added_coefficient(47.0))
    assert told.flow == pytest.approx(flow, rel=1e-3)


@pytest.mark.parametrize("now", [45.0, 46.4])
def test_a_valve_is_never_opened_for_more_water(now: float) -> None:
    network = series(valve(now))
    told = throttle(network, "a", 3 * solve_flows(network).line_flow[0, 0])
    assert now < told.angle <= now + 1
    assert not told.opens


@pytest.mark.parametrize("share", [0.03, 0.02, 0.005])
def test_less_than_a_ball_valve_leaves_takes_an_orifice(share: float) -> None:
    network = series()
    flow = share * flow_at(network, 0.0)
    assert flow < flow_at(network, own() + added_coefficient(81.0))
    told = throttle(network, "a", flow)
    assert told.angle == 82
    assert told.coefficient >= added_coefficient(82.0) * (1 - 1e-9)
    # Orifices are tried at K steps of one fifth: a tenth of the flow.
    assert 0.88 * flow < told.flow <= flow
    assert told.flow == pytest.approx(flow_at(network, own() + told.coefficient), rel=1e-3)


def test_next_to_no_water_takes_the_narrowest_orifice_there_is() -> None:
    told = throttle(series(), "a", 1e-9)
    assert told.coefficient == pytest.approx(1e9)
    assert told.angle == 82


# Behind the pump


def told_and_true(held: LimitedFlows, job: Job, network: Network) -> Network:
    """The network with the valves at the given angles, after checking that its flows agree."""
    after = build(applied(job, network, held.throttles))
    flows = solve(after.job).line_flow
    assert held.line_flow == pytest.approx(flows, rel=3e-3)
    assert held.line_low == pytest.approx(flow_band(after, flows)[0], rel=4e-3)
    return after


@pytest.mark.parametrize("branched", [False, True])
def test_a_valve_behind_the_pump_holds_back_the_whole(branched: bool) -> None:
    """It has the bore of the line past the pump: here neither the pump's, nor what follows."""
    main: tuple[Table, ...] = ({"kind": "fitting", "k": 1.0, "bore": "3/4 in"},)
    ways = [way("a"), way("b")] if branched else []
    more = main if branched else (*main, unit("a"))
    job = square_job(NEEDS if branched else {"a": 100}, ways, "demo-ac-700", *more)
    network = build(job)
    most = 0.4 * solve(job).flow
    held = limit_pump_flow(network, most)
    (told,) = held.throttles
    assert told.bore == pytest.approx(0.75 * INCH)
    assert (told.unit, told.branch, told.part) == ("", "", None)
    after = told_and_true(held, job, network)
    assert 0.9 * most < solve(after.job).flow <= most
    looser = build(applied(job, network, (replace(told, angle=told.angle - 1),)))
    assert solve(looser.job).flow > 0.995 * most


def test_a_valve_behind_the_pump_is_used_where_there_is_one_and_one_before_it_is_not() -> None:
    job = square_job({"a": 100}, [], "demo-ac-700", unit("a"), valve(20.0))
    job = job.model_copy(update={"part": (job.part[0], seacock(HALF, 5.0), *job.part[1:])})
    network = build(job)
    held = limit_pump_flow(network, 0.5 * solve(job).flow)
    (told,) = held.throttles
    assert told.part == next(
        i
        for i, part in enumerate(network.parts)
        if i > network.pump_index and part.kind == "seacock"
    )
    assert told.was == pytest.approx(20.0)
    told_and_true(held, job, network)


def test_where_the_branches_leave_at_the_pump_the_valve_has_its_bore() -> None:
    job = square_job(NEEDS, [way("a"), way("b")])
    parts = [part for part in job.part if part.kind != "fitting"]
    network = build(job.model_copy(update={"part": tuple(parts)}))
    (told,) = limit_pump_flow(network, 0.5 * solve(network.job).flow).throttles
    assert told.bore == pytest.approx(INCH)
