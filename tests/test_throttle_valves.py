"""Where throttling by hand is possible, and the K of a handle; angles and K are Weisbach's."""

from dataclasses import replace

import fluids
import numpy as np
import pytest

from loop.balancing.throttle_valves import (
    OPEN_ANGLE,
    ThrottledNetwork,
    ThrottleValve,
    whole_degree,
    with_valves,
)
from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve, solve_flows
from loop.parts.friction import velocity_head
from loop.parts.seacock import added_coefficient
from tests.loops import Table
from tests.square_loops import INCH, seacock, square_job, valve, way

HALF = 0.5 * INCH
FLOW = 2e-4
OWN = 0.08
# Weisbach's plug cock: K added at an angle [deg].
ADDED = {10.0: 0.29, 20.0: 1.56, 30.0: 5.47, 40.0: 17.3, 50.0: 52.6, 60.0: 206.0}


def throttle_valve(now: float | None) -> ThrottleValve:
    return ThrottleValve("a", FLOW, "to a", 1, 5, HALF, OWN, now)


def network(*extra: Table) -> Network:
    """Branches to a and b, that to a with these parts between its fitting and its unit."""
    return build(square_job({"a": 100, "b": 140}, [way("a", 7, *extra), way("b", 3)]))


def throttled(net: Network, *units: str) -> ThrottledNetwork:
    return with_valves(net, [(name, FLOW, net.condenser_part(name)) for name in units])


# One throttle valve


def test_a_valve_to_be_fitted_has_no_loss_yet_and_one_that_is_there_its_own() -> None:
    assert (throttle_valve(None).least_k, throttle_valve(None).present_k) == (0.0, 0.0)
    assert (throttle_valve(0.0).least_k, throttle_valve(0.0).present_k) == (OWN, OWN)
    assert throttle_valve(40.0).least_k == OWN
    assert throttle_valve(40.0).present_k == pytest.approx(OWN + 17.3)


@pytest.mark.parametrize(("now", "standing"), [(None, OWN), (0.0, OWN), (40.0, OWN + 17.3)])
def test_the_loss_goes_with_k_from_what_the_valve_has_in_the_network(
    now: float | None, standing: float
) -> None:
    for coefficient in (0.0, OWN, 20.0):
        assert throttle_valve(now).factor(coefficient) == pytest.approx(coefficient / standing)
    assert throttle_valve(now).factor(np.array([0.0, 1.0])) == pytest.approx([0.0, 1 / standing])


# Handles in whole degrees


@pytest.mark.parametrize("angle", [6.0, 10.0, 30.0, 50.0, 81.0])
@pytest.mark.parametrize("now", [None, 0.0, 45.0])
def test_a_whole_degree_is_left_as_it_is(angle: float, now: float | None) -> None:
    coefficient = OWN + added_coefficient(angle)
    for up in (False, True):
        assert whole_degree(throttle_valve(now), coefficient, up) == pytest.approx(
            coefficient, rel=1e-9
        )


@pytest.mark.parametrize("now", [None, 0.0, 20.0])
def test_a_handle_goes_to_the_nearest_degree_or_to_the_next(now: float | None) -> None:
    for between, nearest, upward in ((30.3, 30, 31), (39.6, 40, 40), (59.6, 60, 60)):
        coefficient = OWN + added_coefficient(between)
        near = OWN + added_coefficient(nearest)
        assert whole_degree(throttle_valve(now), coefficient) == pytest.approx(near, rel=1e-9)
        up = OWN + added_coefficient(upward)
        assert whole_degree(throttle_valve(now), coefficient, up=True) == pytest.approx(
            up, rel=1e-9
        )


@pytest.mark.parametrize(("angle", "k"), ADDED.items())
def test_an_angle_has_the_k_that_was_measured(angle: float, k: float) -> None:
    for off in (-0.2, 0.0, 0.2):
        told = whole_degree(throttle_valve(None), OWN + added_coefficient(angle + off))
        assert told == pytest.approx(OWN + k)


def test_a_valve_that_adds_next_to_nothing_is_not_fitted_or_stays_open() -> None:
    """Below 5°, where the added K is 0.05; but a limit is held with any valve that it takes."""
    assert OPEN_ANGLE == 5.0
    for angle in (1.0, 3.0, 4.3):
        coefficient = OWN + added_coefficient(angle)
        assert whole_degree(throttle_valve(None), coefficient) == 0.0
        assert whole_degree(throttle_valve(0.0), coefficient) == OWN
        assert whole_degree(throttle_valve(30.0), coefficient) == OWN
        assert whole_degree(throttle_valve(None), coefficient, up=True) >= coefficient * (1 - 1e-9)
    for angle in (4.7, 5.0, 5.4):
        assert whole_degree(throttle_valve(None), OWN + added_coefficient(angle)) == pytest.approx(
            OWN + 0.05
        )
    # K under an open valve's own asks for no valve at all.
    assert whole_degree(throttle_valve(None), 0.5 * OWN) == 0.0
    assert whole_degree(throttle_valve(None), 0.5 * OWN, up=True) == pytest.approx(OWN)


def test_a_valve_within_a_degree_of_its_place_is_left_there() -> None:
    standing = throttle_valve(30.4)
    for angle in (29.6, 30.0, 30.9, 31.3):
        assert whole_degree(standing, OWN + added_coefficient(angle)) == standing.present_k
    for angle, nearest in ((29.2, 29), (31.6, 32)):
        told = whole_degree(standing, OWN + added_coefficient(angle))
        assert told == pytest.approx(OWN + added_coefficient(nearest))
    # A limit is not held by a valve that was left where it is.
    assert whole_degree(standing, standing.present_k, up=True) == standing.present_k
    for angle, upward in ((30.5, 31), (31.3, 32), (29.6, 30)):
        told = whole_degree(standing, OWN + added_coefficient(angle), up=True)
        assert told == pytest.approx(OWN + added_coefficient(upward))


def test_k_beyond_any_ball_valves_is_an_orifices_own() -> None:
    for angle in (81.6, 81.9):
        coefficient = OWN + added_coefficient(angle)
        assert whole_degree(throttle_valve(None), coefficient) == coefficient
    for angle in (81.2, 81.9):
        coefficient = OWN + added_coefficient(angle)
        assert whole_degree(throttle_valve(None), coefficient, up=True) == coefficient
    assert whole_degree(throttle_valve(0.0), 1e6) == 1e6
    below = OWN + added_coefficient(81.4)
    assert whole_degree(throttle_valve(None), below) == pytest.approx(OWN + added_coefficient(81.0))


# Throttle valves in a network


@pytest.mark.parametrize("port", [None, 0.3 * INCH, 0.4 * INCH])
@pytest.mark.parametrize("angle", [0.0, 30.0])
def test_a_valve_that_is_there_is_used_as_it_stands(port: float | None, angle: float) -> None:
    """K on the port: the library's open valve, as square steps, plus the plug cock's."""
    more: Table = {} if port is None else {"port": f"{port} m"}
    net = network(valve(angle, **more))
    (found,) = throttled(net, "a").valves
    index = next(i for i, part in enumerate(net.parts) if part.kind == "seacock")
    assert (found.unit, found.need, found.branch, found.part) == ("a", FLOW, "to a", index)
    assert found.line == net.line_of[index]
    assert found.angle == pytest.approx(angle)
    assert found.bore == pytest.approx(port or HALF)
    library = fluids.K_ball_valve_Crane(D1=found.bore, D2=HALF, angle=180.0)
    assert found.open_k == pytest.approx(library * (found.bore / HALF) ** 4)
    assert found.present_k == pytest.approx(found.open_k + {0.0: 0.0, 30.0: 5.47}[angle])
    lost = seacock(HALF, angle, port).head_loss(FLOW, net.water)
    assert found.present_k * velocity_head(FLOW, found.bore) == pytest.approx(lost)
    assert throttled(net, "a").network.parts == net.parts


def test_a_valve_is_fitted_beside_the_part_and_nothing_else_changes() -> None:
    net = build(square_job({"a": 100, "b": 140}, [way("a"), way("b")]))
    valved = throttled(net, "b", "a")
    more = valved.network
    count = len(net.parts)
    assert [throttle_valve.part for throttle_valve in valved.valves] == [count, count + 1]
    assert [throttle_valve.angle for throttle_valve in valved.valves] == [None, None]
    assert more.parts[:count] == net.parts
    for name, found in zip("ba", valved.valves, strict=True):
        beside = net.condenser_part(name)
        assert found.line == net.line_of[beside] == more.line_of[found.part]
        assert found.branch == more.branches[found.part] == f"to {name}"
        assert more.heights[found.part] == net.heights[beside]
        assert more.lines[found.line].parts == (*net.lines[found.line].parts, found.part)
        assert found.open_k == pytest.approx(fluids.K_ball_valve_Crane(D1=HALF, D2=HALF, angle=0.0))
    for told in (more.places, more.labels, more.branches, more.heights, more.line_of):
        assert len(told) == len(more.parts) == count + 2
    assert more.places[:count] == net.places
    assert set(more.places[count:] + more.labels[count:]) == {""}


def test_the_valve_fitted_has_the_bore_of_the_part_beside_it() -> None:
    net = network({"kind": "fitting", "k": 1.0, "bore": "3/4 in"})
    beside = next(i for i, part in enumerate(net.parts) if part.bore == pytest.approx(0.75 * INCH))
    (found,) = with_valves(net, [("", 0.0, beside)]).valves
    assert found.bore == pytest.approx(0.75 * INCH)
    assert (found.unit, found.need, found.least_k) == ("", 0.0, 0.0)


def test_of_several_valves_the_one_furthest_shut_is_used_and_a_shut_one_is_not() -> None:
    for angles in ((0.0, 50.0, 20.0), (50.0, 0.0, 20.0), (0.0, 20.0, 50.0), (90.0, 50.0, 0.0)):
        net = network(*(valve(angle) for angle in angles))
        (found,) = throttled(net, "a").valves
        assert found.angle == pytest.approx(50.0)
        first = net.condenser_part("a") - 3
        assert found.part == first + angles.index(50.0)
    (found,) = throttled(network(valve(90.0)), "a").valves
    assert found.angle is None


def test_a_seacock_before_the_pump_is_no_valve_to_balance_by() -> None:
    job = square_job({"a": 100}, [], "demo-ac-700", way("a")["part"][1])
    table = list(job.part)
    table.insert(1, seacock(HALF, 40.0))
    net = build(job.model_copy(update={"part": tuple(table)}))
    (found,) = throttled(net, "a").valves
    assert found.angle is None
    # After the pump, at once or later, it is one.
    for place in (3, 4):
        net = build(
            job.model_copy(update={"part": (*table[:place], seacock(HALF, 20.0), *table[place:])})
        )
        (found,) = throttled(net, "a").valves
        assert found.part == place
        assert found.angle == pytest.approx(20.0)


@pytest.mark.parametrize("more", [(), (valve(0.0),), (valve(35.0, port="0.4 in"),)])
def test_a_setting_loses_its_k_and_all_other_parts_what_they_did(more: tuple[Table, ...]) -> None:
    net = network(*more)
    valved = throttled(net, "a", "b")
    for coefficients in ([3.0, 40.0], [900.0, 0.25]):
        factors = valved.loss_factors(np.array(coefficients))
        fitted = valved.with_settings(np.array(coefficients))
        for found, k in zip(valved.valves, coefficients, strict=True):
            lost = k * velocity_head(FLOW, found.bore)
            part = valved.network.parts[found.part]
            own = part.head_loss(FLOW, net.water)
            assert factors[found.part] * own == pytest.approx(lost)
            assert fitted.parts[found.part].head_loss(FLOW, net.water) == pytest.approx(lost)
        others = set(range(len(factors))) - {found.part for found in valved.valves}
        assert all(factors[i] == 1.0 for i in others)
        assert all(fitted.parts[i] == valved.network.parts[i] for i in others)
        assert fitted.lines == valved.network.lines
        told = solve_flows(valved.network, Cases(loss=factors[None, :])).line_flow
        assert solve_flows(fitted).line_flow == pytest.approx(told, rel=1e-6)


def test_a_valve_without_k_is_left_out() -> None:
    net = network()
    valved = throttled(net, "a", "b")
    fitted = valved.with_settings(np.array([0.0, 2.0]))
    assert fitted.lines[valved.valves[0].line] == net.lines[valved.valves[0].line]
    assert valved.valves[1].part in fitted.lines[valved.valves[1].line].parts
    net = network(valve(30.0))
    (found,) = throttled(net, "a").valves
    left = throttled(net, "a").with_settings(np.array([0.0])).lines[found.line].parts
    assert left == tuple(i for i in net.lines[found.line].parts if i != found.part)
    assert len(left) == len(net.lines[found.line].parts) - 1


def test_a_lines_own_k_is_the_sum_of_its_parts_on_the_valves_bore() -> None:
    """K d⁻⁴: 7 on 1/2 in, 2 on 3/4 in, and 1 psi at 200 gal/h; a shut part is left out."""
    wide: Table = {"kind": "fitting", "k": 2.0, "bore": "3/4 in"}
    net = network(wide, valve(90.0), valve(20.0, port="0.4 in"))
    valved = throttled(net, "a", "b")
    assert valved.valves[0].bore == pytest.approx(0.4 * INCH)
    rated = 200 * 231 * INCH**3 / 3600
    psi = 0.45359237 * 9.80665 / INCH**2
    head = psi / (net.water.density * 9.80665)
    condenser = head / velocity_head(rated, HALF)
    on_half = 7.0 + 2.0 * (0.5 / 0.75) ** 4 + condenser
    for flow in (0.5 * FLOW, 3 * FLOW):
        found = valved.line_coefficients(np.array([flow, FLOW]))
        assert found == pytest.approx([on_half * 0.8**4, 3.0 + condenser], rel=1e-6)


def test_valves_are_told_that_are_not_set_so_already() -> None:
    net = network(valve(30.0))
    valved = throttled(net, "a", "b")
    there, fit = valved.valves
    flows: Array = np.linspace(1e-4, 2e-4, len(net.lines))
    assert valved.throttles(np.array([there.present_k, 0.0]), flows) == ()
    assert valved.throttles(np.array([there.present_k * (1 + 1e-13), 0.0]), flows) == ()
    for angle, opens in ((40.0, False), (10.0, True)):
        turned = there.open_k + ADDED[angle]
        (told,) = valved.throttles(np.array([turned, 0.0]), flows)
        assert (told.unit, told.branch, told.part, told.opens) == ("a", "to a", there.part, opens)
        assert told.coefficient == pytest.approx(ADDED[angle])
        assert (told.bore, told.angle) == (there.bore, angle)
        assert told.was == pytest.approx(30.0)
        assert told.flow == flows[there.line]
    # Turned by less than a degree it has the same angle, and lets through no more than before.
    (told,) = valved.throttles(np.array([there.open_k + added_coefficient(30.3), 0.0]), flows)
    assert replace(told, was=30.0).opens is False
    (told,) = valved.throttles(np.array([there.present_k, fit.open_k + 206.0]), flows)
    assert (told.unit, told.part, told.was, told.opens) == ("b", None, 0.0, False)
    assert (told.angle, told.flow) == (60.0, flows[fit.line])


def test_a_valve_told_has_a_whole_angle_and_no_k_below_none() -> None:
    net = network()
    valved = throttled(net, "a")
    flows: Array = np.ones(len(net.lines))
    own = valved.valves[0].open_k
    for k, angle in ((0.5 * own, 0.0), (own + 5.5, 30.0), (own + added_coefficient(81.4), 81.0)):
        (told,) = valved.throttles(np.array([k]), flows)
        assert told.angle == angle
        assert told.coefficient == pytest.approx(max(k - own, 0.0))
    for k in (own + added_coefficient(81.6), 1e5, 1e9):
        (told,) = valved.throttles(np.array([k]), flows)
        assert told.angle == 82.0
        assert told.coefficient == pytest.approx(k - own)


def test_a_network_with_valves_and_nothing_set_flows_as_the_job_does() -> None:
    job = square_job({"a": 100, "b": 140}, [way("a", 7, valve(25.0)), way("b", 3)])
    valved = throttled(build(job), "a", "b")
    present = np.array([throttle_valve.present_k for throttle_valve in valved.valves])
    flows = solve_flows(
        valved.network, Cases(loss=valved.loss_factors(present)[None, :])
    ).line_flow[0]
    assert flows == pytest.approx(solve(job).line_flow, rel=1e-3)
