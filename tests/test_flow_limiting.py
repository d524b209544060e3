"""Flows kept under limits by several valves: laws for valves set to the computed angles."""

from dataclasses import replace

import numpy as np
import pytest

from loop.balancing import flow_limiting as holding
from loop.balancing.balance import TABLE_MARGIN
from loop.balancing.flow_limiting import FlowLimit, LimitedFlows, limit_flows
from loop.balancing.isolation import open_units, valve_sites
from loop.balancing.throttle_valves import Throttle
from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, build, solve, solve_flows
from loop.job import Job
from tests.loops import Table
from tests.square_loops import GALLONS, bypass, square_job, valve, way
from tests.test_settings import applied
from tests.test_throttle import own, told_and_true

NEEDS = {"a": 100.0, "b": 140.0}


def sites_of(network: Network) -> list[tuple[str, float, int]]:
    return [(name, need, i) for name, i, need in valve_sites(network, open_units(network))]


def limit_on(network: Network, name: str, most: float) -> FlowLimit:
    index = network.condenser_part(name)
    return FlowLimit(network.line_of[index], network.branches[index], most)


def flow_of(job: Job, name: str) -> float:
    point = solve(job)
    return point.flow_through(point.network.condenser_part(name))


def pair(*extra: Table) -> Job:
    return square_job(NEEDS, [way("a", 5, *extra), way("b", 5)])


def held_at(job: Job, limits: dict[str, float], shut: Array | None = None) -> LimitedFlows:
    network = build(job)
    told = [limit_on(network, name, most) for name, most in limits.items()]
    held = limit_flows(network, sites_of(network), told, shut)
    assert held is not None
    return held


def test_flows_within_their_limits_need_no_valve() -> None:
    job = pair(valve(30.0))
    held = held_at(job, {name: 1.01 * flow_of(job, name) / 0.985 for name in NEEDS})
    assert held.throttles == ()
    told_and_true(held, job, build(job))


@pytest.mark.parametrize("share", [0.3, 0.45])
@pytest.mark.parametrize("extra", [(), (valve(0.0),), (valve(35.0),)])
def test_a_branch_is_held_by_its_own_valve_and_no_more_than_it_takes(
    extra: tuple[Table, ...], share: float
) -> None:
    job = pair(*extra)
    network = build(job)
    most = share * flow_of(pair(), "a")
    held = held_at(job, {"a": most})
    (told,) = held.throttles
    assert told.unit == "a"
    assert (told.part is None) is (not extra)
    assert told.angle == round(told.angle) > told.was
    after = told_and_true(held, job, network)
    assert flow_of(after.job, "a") <= most
    looser = applied(job, network, (replace(told, angle=told.angle - 2),))
    assert flow_of(looser, "a") > most


def test_two_branches_are_held_at_once_though_each_gets_what_the_other_leaves() -> None:
    job = pair()
    limits = {"a": 90 * GALLONS, "b": 130 * GALLONS}
    held = held_at(job, limits)
    network = build(job)
    after = told_and_true(held, job, network)
    for told in held.throttles:
        assert flow_of(after.job, told.unit) <= limits[told.unit]
        others = tuple(other for other in held.throttles if other is not told)
        looser = applied(job, network, (replace(told, angle=told.angle - 2), *others))
        assert flow_of(looser, told.unit) > limits[told.unit]
    assert {told.unit for told in held.throttles} == {"a", "b"}
    swapped = limit_flows(
        network,
        sites_of(network)[::-1],
        [limit_on(network, name, most) for name, most in limits.items()],
    )
    assert swapped is not None
    assert sorted(swapped.throttles, key=_unit) == sorted(held.throttles, key=_unit)


def _unit(told: Throttle) -> str:
    return told.unit


@pytest.mark.parametrize(
    ("k", "whole", "share"),
    [(30, 0.97, 0.25), (30, 0.9, 0.3), (60, 0.99, 0.25), (60, 0.95, 0.4), (60, 0.7, 0.005)],
)
def test_limits_hold_where_a_degree_on_one_branch_is_more_water_for_the_other(
    k: float, whole: float, share: float
) -> None:
    """A narrow main line: what one branch is denied goes through the other."""
    main: Table = {"kind": "fitting", "k": k}
    job = square_job(NEEDS, [way("a", 5), way("b", 5)], "demo-ac-1500", main)
    network = build(job)
    most = {"a": whole * share * solve(job).flow, "b": whole * (1 - share) * solve(job).flow}
    held = held_at(job, most)
    for told in held.throttles:
        assert 0.85 * most[told.unit] < told.flow <= most[told.unit]
        if told.unit == "a" and told.angle < 82:
            others = tuple(other for other in held.throttles if other is not told)
            after = applied(job, network, (replace(told, angle=told.angle - 3), *others))
            assert flow_of(after, "a") > most["a"]
    for name, flow in most.items():
        # The error of tables is kept as a margin.
        room = (1 - TABLE_MARGIN) * flow
        assert held.line_flow[network.line_of[network.condenser_part(name)]] <= room


@pytest.fixture
def looks(monkeypatch: pytest.MonkeyPatch) -> list[Flows]:
    """Solves that a search needs."""
    found: list[Flows] = []

    def counted(
        network: Network, cases: Cases | None = None, *, start: Array | None = None
    ) -> Flows:
        found.append(solve_flows(network, cases, start=start))
        return found[-1]

    monkeypatch.setattr(holding, "solve_flows", counted)
    return found


@pytest.mark.parametrize("extra", [(), (valve(35.0),)])
def test_one_valve_is_found_in_a_few_looks(looks: list[Flows], extra: tuple[Table, ...]) -> None:
    """A check asks often: a flow over by a factor x needs x² the loss; each solve leaves a quarter.

    Six bring it from all to a few thousandths; two more are for whole degrees, two in reserve.
    """
    for share in (0.8, 0.6, 0.45, 0.3, 0.1, 0.01):
        looks.clear()
        held_at(pair(*extra), {"a": share * flow_of(pair(), "a")})
        assert 1 < len(looks) <= 10


def test_what_goes_round_the_valves_cannot_be_held(looks: list[Flows]) -> None:
    """A bypass of the unit, in its branch, exceeds the limit with the unit's valve shut.

    A check sets many limits: a hopeless one is given up within twenty solves.
    """
    header: Table = {"kind": "manifold", "branch": [way("a", 20), bypass(1)]}
    fitting: Table = {"kind": "fitting", "k": 1.0}
    job = square_job(NEEDS, [{"name": "x", "part": [fitting, header, fitting]}, way("b")])
    network = build(job)
    line = next(i for i, line in enumerate(network.lines) if line.branch == "x")
    (site,) = (site for site in sites_of(network) if site[0] == "a")
    flow = float(solve(job).line_flow[line])
    assert limit_flows(network, [site], [FlowLimit(line, "x", 1.05 * flow)]) is not None
    for share in (0.05, 0.3, 0.6):
        looks.clear()
        assert limit_flows(network, [site], [FlowLimit(line, "x", share * flow)]) is None
        assert len(looks) <= 20


def test_of_two_limits_on_a_branch_the_tighter_counts() -> None:
    job = square_job({**NEEDS, "c": 50}, [way("a", units=("a", "c")), way("b")])
    tight = held_at(job, {"a": 120 * GALLONS, "c": 70 * GALLONS})
    assert tight.throttles == held_at(job, {"c": 70 * GALLONS, "a": 120 * GALLONS}).throttles
    assert tight.throttles == held_at(job, {"c": 70 * GALLONS}).throttles


def test_a_valve_part_shut_already_is_not_opened_and_not_turned_without_need() -> None:
    job = pair(valve(45.0))
    network = build(job)
    held = held_at(job, {"a": flow_of(job, "a") * 1.5, "b": 0.6 * flow_of(job, "b")})
    assert [told.unit for told in held.throttles] == ["b"]
    # With b held, a gets more than before, and more than a tighter limit: it is closed further.
    held = held_at(job, {"a": flow_of(job, "a"), "b": 0.3 * flow_of(job, "b")})
    angles = {told.unit: told.angle for told in held.throttles}
    assert set(angles) == {"a", "b"}
    assert angles["a"] > 45
    told_and_true(held, job, network)


def test_the_whole_is_held_by_all_that_have_a_valve() -> None:
    job = pair()
    network = build(job)
    most = 0.5 * solve(job).flow
    held = limit_flows(network, sites_of(network), [FlowLimit(network.pump_line, "", most)])
    assert held is not None
    assert {told.unit for told in held.throttles} == {"a", "b"}
    after = told_and_true(held, job, network)
    assert 0.9 * most < solve(after.job).flow <= most


def test_an_outer_branch_is_held_by_the_valves_of_those_inside() -> None:
    header: Table = {"kind": "manifold", "branch": [way("a"), way("c")]}
    fitting: Table = {"kind": "fitting", "k": 1.0}
    outer = {"name": "x", "part": [fitting, header, fitting]}
    job = square_job({**NEEDS, "c": 100}, [outer, way("b")])
    network = build(job)
    line = next(i for i, line in enumerate(network.lines) if line.branch == "x")
    flow = float(solve(job).line_flow[line])
    held = limit_flows(network, sites_of(network), [FlowLimit(line, "x", 0.5 * flow)])
    assert held is not None
    assert {told.unit for told in held.throttles} == {"a", "c"}
    after = told_and_true(held, job, network)
    assert 0.9 * 0.5 * flow < float(solve(after.job).line_flow[line]) <= 0.5 * flow


def test_a_limit_holds_in_every_case_that_must_keep_to_it() -> None:
    """With b's valve shut more goes through a: K of 1e8 on its fitting leaves nothing."""
    job = pair()
    network = build(job)
    most = 0.8 * flow_of(job, "a")
    index = network.lines[network.line_of[network.condenser_part("b")]].parts[0]
    shut = np.ones((2, len(network.parts)))
    shut[1, index] = 1e8
    held = held_at(job, {"a": most}, shut)
    assert held.throttles[0].angle > held_at(job, {"a": most}).throttles[0].angle
    after = told_and_true(held, job, network)
    alone = square_job(NEEDS, [way("a", 5), way("b", 5, valve(90.0))])
    told = applied(alone, build(alone), held.throttles)
    assert 0.9 * most < flow_of(told, "a") <= most
    assert flow_of(after.job, "a") < most
    looser = (replace(held.throttles[0], angle=held.throttles[0].angle - 2),)
    assert flow_of(applied(alone, build(alone), looser), "a") > most


def test_a_case_that_is_not_named_need_not_keep_to_a_limit() -> None:
    """With its own fitting nearly shut, b gets nothing in that case."""
    job = pair()
    network = build(job)
    shut = np.ones((1, len(network.parts)))
    shut[0, network.lines[network.line_of[network.condenser_part("b")]].parts[0]] = 1e8
    assert held_at(job, {"b": 0.5 * flow_of(job, "b")}, shut).throttles == ()
    assert held_at(job, {"b": 0.5 * flow_of(job, "b")}).throttles != ()


def test_a_way_round_is_held_by_a_valve_on_it() -> None:
    job = square_job({"a": 100}, [way("a", 5), bypass(1)])
    network = build(job)
    index = next(i for i, branch in enumerate(network.branches) if branch == "round")
    line = network.line_of[index]
    most = 0.3 * float(solve(job).line_flow[line])
    held = limit_flows(network, [("", 0.0, index)], [FlowLimit(line, "round", most)])
    assert held is not None
    (told,) = held.throttles
    assert (told.unit, told.branch) == ("", "round")
    after = told_and_true(held, job, network)
    assert 0.85 * most < float(solve(after.job).line_flow[line]) <= most


@pytest.mark.parametrize("share", [0.04, 0.01])
def test_a_branch_is_held_to_a_trickle_by_an_orifice(share: float) -> None:
    most = share * flow_of(pair(), "a")
    held = held_at(pair(), {"a": most})
    (told,) = held.throttles
    assert told.angle == 82
    # K on 1/2 in, put into the job as a fitting of 1/8 in.
    k = (told.coefficient + own()) / 4**4
    flow = flow_of(pair({"kind": "fitting", "bore": "1/8 in", "k": k}), "a")
    assert 0.85 * most < flow <= most


def test_where_a_search_starts_does_not_change_what_it_finds() -> None:
    network = build(pair())
    limits = [limit_on(network, "a", 60 * GALLONS), limit_on(network, "b", 90 * GALLONS)]
    cold = limit_flows(network, sites_of(network), limits)
    warm = limit_flows(network, sites_of(network), limits, start=solve(network.job).line_flow)
    assert cold is not None
    assert warm is not None
    assert [(t.unit, t.angle) for t in cold.throttles] == [
        (t.unit, t.angle) for t in warm.throttles
    ]
    assert cold.line_flow == pytest.approx(warm.line_flow, rel=1e-6)


def test_a_limit_that_no_valve_is_for_cannot_be_held() -> None:
    """A valve in one branch, and a limit on the other."""
    job = pair()
    network = build(job)
    (site,) = (site for site in sites_of(network) if site[0] == "a")
    most = 0.9 * flow_of(job, "b")
    assert limit_flows(network, [site], [limit_on(network, "b", most)]) is None


def test_limits_are_held_though_the_main_line_takes_most_of_the_head() -> None:
    """Closing one branch then gives the other nearly all its flow: both must close far."""
    narrow = {"kind": "fitting", "k": 100.0}
    job = square_job(NEEDS, [way("a", 5), way("b", 5)], "demo-ac-1500", narrow)
    flow = solve(job).flow
    most = {"a": 0.97 * 0.45 * flow, "b": 0.97 * 0.55 * flow}
    network = build(job)
    held = held_at(job, most)
    after = applied(job, network, held.throttles)
    assert all(flow_of(after, name) <= most[name] for name in most)
    told_and_true(held, job, network)
