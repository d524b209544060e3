"""Where water can flow at all: shut valves, paths around them, pumps that cannot lift it."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from loop.check import check
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.flow_paths import open_lines
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.network import SEA_IN, SEA_OUT, Line
from tests.coupled import stepped
from tests.random_jobs import random_cases, random_job
from tests.test_network import HOSE, job_with, overboard, unit

SHUT = {"kind": "seacock", "open": 0.0, "bore": 0.019}
LOW = {"kind": "discharge", "height": -0.2, "bore": 0.019}
CHECK = {"kind": "check valve", "bore": 0.019}


def inner(*first: dict[str, object]) -> list[dict[str, object]]:
    """A manifold with unit 1, which rejoins, and a plain outlet below the waterline."""
    ways = [
        {"name": "unit", "part": [{**HOSE, "to": 0.0}, *first, unit(1), {**HOSE, "to": 0.0}]},
        {"name": "out", "part": [{**HOSE, "to": -0.2}, LOW]},
    ]
    return [{"kind": "manifold", "bore": 0.025, "branch": ways}, {**HOSE, "to": 0.0}]


def nested(*first: dict[str, object], valve: bool = False) -> Network:
    """That manifold in a branch beside unit 2, after the parts `first`."""
    held = [CHECK] if valve else []
    ways = [
        {"name": "a", "part": [{**HOSE, "to": 0.0}, *first, *inner(*held)]},
        {"name": "b", "part": [{**HOSE, "to": 0.2}, unit(2), {**HOSE, "to": 0.0}]},
    ]
    return build(job_with(ways))


def flows(network: Network) -> dict[str, float]:
    """Flow of the last line of every branch [m³/s]."""
    answer = solve_flows(network)
    assert answer.settled[0]
    return {
        line.branch: float(flow)
        for line, flow in zip(network.lines, answer.line_flow[0], strict=True)
    }


def test_water_goes_round_a_shut_valve_backwards() -> None:
    found = flows(nested(SHUT))
    out = found["a / out"]
    assert out > 1e-6
    assert found["a / unit"] == pytest.approx(-out, rel=1e-9)
    assert found["b"] > out
    # Heads: the return from where b rejoins the header to the sea, against b's own outlet.
    forward = flows(nested())
    assert forward["a / unit"] > 0
    assert forward["a / out"] > out


def test_water_that_runs_back_is_told() -> None:
    result = check(nested(SHUT).job)
    told = next(finding for finding in result.findings if finding.code == "flow-short")
    assert told.at.unit == "unit 1"
    assert "shut" in str(told.values["case"]).split()
    assert told.values["back"] > 0
    held = check(nested(SHUT, valve=True).job)
    assert not any("back" in finding.values for finding in held.findings)


def test_a_check_valve_leaves_no_way_round() -> None:
    network = nested(SHUT, valve=True)
    found = flows(network)
    assert found["a / out"] == found["a / unit"] == 0
    assert found["b"] > 0


def drawn(joints: int, *lines: Line) -> Network:
    """A network of these lines, for its topology only."""
    return replace(overboard(), lines=lines, joints=joints)


def line(start: int, end: int, way: str = "both") -> Line:
    return Line(parts=(), start=start, end=end, one_way=way == "one", shut=way == "shut")


MAIN = line(SEA_IN, 0, "one")
DRAWN = {
    "through": (1, [(MAIN, True), (line(0, SEA_OUT), True)]),
    "shut at its end": (1, [(MAIN, False), (line(0, SEA_OUT, "shut"), False)]),
    "a dead end": (2, [(MAIN, True), (line(0, SEA_OUT), True), (line(0, 1), False)]),
    "two to a dead end": (
        2,
        [(MAIN, True), (line(0, SEA_OUT), True), (line(0, 1), True), (line(1, 0), True)],
    ),
    "two walls to a dead end": (
        2,
        [
            (MAIN, True),
            (line(0, SEA_OUT), True),
            (line(0, 1, "one"), False),
            (line(0, 1, "one"), False),
        ],
    ),
    "a wall there, and a way back": (
        2,
        [(MAIN, True), (line(0, SEA_OUT), True), (line(0, 1, "one"), True), (line(0, 1), True)],
    ),
    "a wall the wrong way round": (
        2,
        [(MAIN, False), (line(1, 0, "one"), False), (line(1, SEA_OUT), False)],
    ),
    "a row of dead ends, from the far end on": (
        4,
        [
            (MAIN, True),
            (line(0, SEA_OUT), True),
            (line(0, 1), False),
            (line(1, 2), False),
            (line(2, 3), False),
            (line(3, SEA_OUT, "shut"), False),
        ],
    ),
    "side by side behind shut lines": (
        3,
        [
            (MAIN, True),
            (line(0, SEA_OUT), True),
            (line(0, 1, "shut"), False),
            (line(1, 2), False),
            (line(1, 2), False),
        ],
    ),
    "round a shut line backwards": (
        2,
        [
            (MAIN, True),
            (line(0, 1, "shut"), False),
            (line(0, 1), True),
            (line(1, SEA_OUT), True),
        ],
    ),
    "backwards to a way out": (
        3,
        [
            (MAIN, True),
            (line(0, 1, "shut"), False),
            (line(1, SEA_OUT), True),
            (line(1, 2), True),
            (line(0, 2), True),
        ],
    ),
    "no way back through a wall": (
        3,
        [
            (MAIN, True),
            (line(0, 1, "shut"), False),
            (line(1, SEA_OUT, "one"), False),
            (line(1, 2, "one"), False),
            (line(0, 2), True),
            (line(2, SEA_OUT, "one"), True),
        ],
    ),
}


@pytest.mark.parametrize("name", DRAWN)
def test_where_water_can_flow_in_drawn_networks(name: str) -> None:
    joints, lines = DRAWN[name]
    found = open_lines(drawn(joints, *(one for one, _ in lines)))
    assert found.tolist() == [expected for _, expected in lines]


@pytest.mark.parametrize("name", DRAWN)
def test_order_of_lines_closes_none(name: str) -> None:
    joints, lines = DRAWN[name]
    found = open_lines(drawn(joints, *(one for one, _ in reversed(lines))))
    assert found.tolist() == [expected for _, expected in reversed(lines)]


def test_no_line_is_closed_that_some_flow_could_take() -> None:
    """Over flows that balance at every joint and pass no wall or shut line: a linear program.

    In networks of branches with check valves and shut seacocks, thirty drawn at random.
    """
    closed = 0
    for number in range(30):
        network = build(random_job(np.random.default_rng([9, number]), branches=4, depth=2))
        joined = [
            [float(one.end == joint) - float(one.start == joint) for one in network.lines]
            for joint in range(network.joints)
        ]
        bounds = [(0, 0) if one.shut else (0 if one.one_way else -1, 1) for one in network.lines]
        balance = {"A_eq": joined, "b_eq": np.zeros(network.joints)} if joined else {}
        for i, way in enumerate(open_lines(network)):
            reach = 0.0
            for sign in (1.0, -1.0):
                goal = np.zeros(len(network.lines))
                goal[i] = sign
                reach = max(reach, -linprog(goal, bounds=bounds, **balance).fun)
            assert way == (reach > 1e-6), (number, i)
            closed += not way
    assert closed > 10


def test_what_hangs_on_shut_lines_only_is_cut_off() -> None:
    """Two lines between the same joints are not dead ends of each other, yet get no water."""
    ways = [
        {"name": "a", "part": [SHUT, {**HOSE, "to": 0.0}, unit(1), {**HOSE, "to": 0.0}]},
        {"name": "b", "part": [SHUT, {**HOSE, "to": 0.0}, unit(2), {**HOSE, "to": 0.0}]},
    ]
    network = build(job_with(ways))
    assert not any(open_lines(network))
    answer = solve_flows(network)
    assert not answer.line_flow.any()
    assert answer.pump_head[0] == pytest.approx(network.pump.curve.shutoff_head)


@pytest.mark.parametrize(("lift", "runs"), [(0.95, ()), (1.05, ("low",)), (4.0, ("low", "high"))])
def test_a_pump_feeds_the_ways_out_that_it_can_lift_to(lift: float, runs: tuple[str, ...]) -> None:
    """Shut-off head at 0.95, 1.05 and 4 times the lower of two outlets at ratio 1 to 2."""
    ends = {"low": 0.5, "high": 1.0}
    ways = [
        {
            "name": name,
            "part": [
                {**HOSE, "to": height},
                unit(number),
                {"kind": "discharge", "height": height, "bore": 0.019},
            ],
        }
        for number, (name, height) in enumerate(ends.items(), 1)
    ]
    network = build(job_with(ways, after=False))
    speed = np.sqrt(lift * ends["low"] / network.pump.curve.shutoff_head)
    answer = solve_flows(network, Cases(speed=np.array([speed])))
    assert answer.settled[0]
    running = {
        line.branch
        for line, flow in zip(network.lines, answer.line_flow[0], strict=True)
        if line.branch and flow > 0
    }
    assert running == set(runs)


def test_steps_with_the_tees_slopes_come_closer_as_newtons_do() -> None:
    """From flows 1 % off, the residual after a step is quadratic."""
    rng = np.random.default_rng(5)
    network = build(random_job(rng, branches=4, depth=1)).full
    assert network.forks
    cases = random_cases(rng, network, 20)
    settled = solve_flows(network, cases)
    losses = LineLosses(network, cases, exact=False)
    running = np.flatnonzero((settled.line_flow[:, open_lines(network)] > 1e-9).all(1))
    assert len(running) > 5
    answer = settled.line_flow[running]
    errors = []
    # The same small flow missing in every line still balances at the joints.
    for off in (1e-2, 1e-3):
        after = stepped(losses.subset(running), answer * (1 - off))
        errors.append(np.abs(after / answer - 1)[answer != 0].max())
    assert errors[0] < 1e-2
    assert errors[1] < 1e-4
