"""Whose water comes to whom: joints, cycles, and extra heat as a tracer."""

from dataclasses import replace
from functools import cache
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.curve import Array
from loop.hydraulics import Network, build
from loop.hydraulics.network import SEA_IN, SEA_OUT, Line
from loop.job import Job
from loop.margins.heat import TRIPS
from loop.margins.warming import (
    feeding_lines,
    inlet_rises,
    recirculates,
    source_joint,
    units_upstream,
)
from tests.test_heat import NESTED, SEA_30, flows_of, loop_of, manifold, served, warmth


@cache
def plain() -> Network:
    return build(loop_of({"a": "2000 W"}, *served("a")))


def graph(*ends: tuple[int, int]) -> Network:
    """A network of lines from joint to joint, without parts."""
    lines = tuple(Line((), start, end) for start, end in ends)
    joints = 1 + max(max(pair) for pair in ends)
    return replace(plain(), lines=lines, joints=joints)


# In from the sea to 0; two lines from 0 to 1; 1 to 2; 2 to 1 as listed; 2 to the sea, and 1 to it.
NET = graph((SEA_IN, 0), (0, 1), (0, 1), (1, 2), (2, 1), (2, SEA_OUT), (1, SEA_OUT))


@pytest.mark.parametrize(
    ("flow", "into"),
    [
        ([3, 1, 2, 2, 0, 2, 1], {0: [0], 1: [1, 2], 2: [3]}),
        # Water circulates from 1 to 2 and back by line 4.
        ([3, 1, 2, 3, 1, 2, 1], {0: [0], 1: [1, 2, 4], 2: [3]}),
        # Line 4 runs against its order: both bring water to 2.
        ([3, 1, 2, 1, -1, 2, 1], {0: [0], 1: [1, 2], 2: [3, 4]}),
        # Line 2 runs back to joint 0, and the sea comes in by the outlets.
        ([-1, 2, -3, -1, 0, -1, 0], {0: [2], 1: [1, 3], 2: [5]}),
        ([0, 0, 0, 0, 0, 0, 0], {0: [], 1: [], 2: []}),
        ([0, 0, 0, 0, -1, 0, -1], {0: [], 1: [6], 2: [4]}),
    ],
)
def test_lines_bring_water_to_the_joint_they_run_to(
    flow: list[int], into: dict[int, list[int]]
) -> None:
    flows = np.array(flow, dtype=float)
    assert {joint: feeding_lines(NET, flows, joint) for joint in range(3)} == into
    assert feeding_lines(NET, flows, SEA_IN) == feeding_lines(NET, flows, SEA_OUT) == []


def test_a_line_takes_its_water_from_the_end_at_which_it_begins_to_run() -> None:
    ahead, back = np.ones(7), -np.ones(7)
    assert [source_joint(NET, ahead, n) for n in range(7)] == [SEA_IN, 0, 0, 1, 2, 2, 1]
    assert [source_joint(NET, back, n) for n in range(7)] == [0, 1, 1, 2, 1, SEA_OUT, SEA_OUT]


ends = st.integers(0, 3)
graphs = st.lists(st.tuples(ends, ends).filter(lambda p: p[0] != p[1]), min_size=1, max_size=7)


@given(graphs, st.data())
def test_water_goes_round_just_where_a_way_leads_back(
    pairs: list[tuple[int, int]], data: st.DataObject
) -> None:
    """Against powers of the graph's matrix: a cycle of any length shows in a trace."""
    signs = st.lists(st.sampled_from([-1, 0, 1]), min_size=len(pairs), max_size=len(pairs))
    flows = np.array(data.draw(signs), dtype=float)
    step = np.zeros((4, 4))
    for (start, end), flow in zip(pairs, flows, strict=True):
        if flow:
            step[(start, end) if flow > 0 else (end, start)] = 1.0
    walks = [np.linalg.matrix_power(step, length) for length in range(1, 5)]
    expected = any(np.trace(walk) > 0 for walk in walks)
    network = graph((SEA_IN, 0), *pairs, (3, SEA_OUT))
    through = np.array([1.0, *flows, 1.0])
    assert recirculates(network, through) is expected
    assert recirculates(network, -through) is expected
    # A line runs into a joint exactly if, reversed, it would start from it.
    for joint in range(4):
        backwards = [n for n in range(len(pairs)) if flows[n] and source_joint(
            network, -through, n + 1) == joint]  # fmt: skip
        assert [n - 1 for n in feeding_lines(network, through, joint) if 0 < n <= len(pairs)] == (
            backwards
        )


# Dye

INNER = {"A": 4e-4, "A_aa": 1e-4, "A_ab": 3e-4, "b": 2e-4}
TURNED = {"A": -1e-4, "A_aa": 2e-4, "A_ab": -3e-4, "b": 7e-4}
ROUND = {"A": 8e-4, "A_aa": 1e-4, "A_ab": 7e-4, "b": -2e-4}
STILL = {"A": 4e-4, "A_aa": 0.0, "A_ab": 4e-4, "b": 2e-4}


def with_dye(job: Job, name: str) -> Network:
    """The job with one unit that rejects half as much again, at the same needs of water."""
    units = tuple(
        unit.model_copy(update={"cooling": 1.5 * unit.cooling}) if unit.name == name else unit
        for unit in job.condenser
    )
    return build(job.model_copy(update={"condenser": units}))


@pytest.mark.parametrize(("flows", "sign"), [*product((INNER, TURNED, ROUND, STILL), (1, -1))])
def test_a_unit_is_passed_before_another_just_where_its_heat_comes_to_it(
    flows: dict[str, float], sign: int
) -> None:
    """Except the unit itself, to which its own heat comes if the water recirculates."""
    network = build(NESTED)
    flow = sign * flows_of(network, 6e-4, **flows)
    plain_rise = warmth(network, flow)
    for dyed in plain_rise:
        rise = warmth(with_dye(NESTED, dyed), flow)
        for unit in plain_rise:
            comes = rise[unit] > plain_rise[unit] + 1e-9
            if unit != dyed:
                assert (dyed in units_upstream(network, flow, unit)) is comes, (dyed, unit)


def test_units_are_named_in_the_jobs_order_and_never_themselves() -> None:
    three = {"x": "2000 W", "y": "2000 W", "z": "2000 W"}
    network = build(loop_of(three, *served("z", "x", "y")))
    ahead, back = np.array([2e-4]), np.array([-2e-4])
    for flow, before in (
        (ahead, {"z": (), "x": ("z",), "y": ("x", "z")}),
        (back, {"y": (), "x": ("y",), "z": ("x", "y")}),
    ):
        assert {name: units_upstream(network, flow, name) for name in "xyz"} == before


# Warmth


def test_warmth_goes_with_heat_and_against_flow() -> None:
    """Twice the heat, or half of every flow, doubles the rise, unless a unit is too hot."""
    network = build(NESTED)
    flow = flows_of(network, 12e-4, **{name: 2 * size for name, size in INNER.items()})
    one = inlet_rises(network, flow, 30.0)
    assert inlet_rises(network, flow, 30.0, heat=2.0) == pytest.approx(2 * one)
    assert inlet_rises(network, flow / 2, 30.0) == pytest.approx(2 * one)
    # A sea that is colder leaves more room, and changes nothing where there is enough.
    assert inlet_rises(network, flow, 10.0) == pytest.approx(one)


def test_a_joint_at_which_nothing_arrives_is_as_the_sea() -> None:
    network = build(NESTED)
    still = flows_of(network, 6e-4, **(INNER | {"A": 0.0, "A_aa": 0.0, "A_ab": 0.0, "b": 6e-4}))
    with np.errstate(all="raise"):
        rises = warmth(network, still)
        assert not inlet_rises(network, np.zeros(len(network.lines)), 30.0).any()
    # first: 1875 W into 0.6 L/s, 0.76437 K; b: 3125 W more, 2.0383 K in all.
    assert [rises[n] for n in ("aa", "ab", "b")] == pytest.approx([0, 0, 0.76437], rel=1e-4)
    assert rises["last"] == pytest.approx(2.0383, rel=1e-4)


@pytest.mark.parametrize("sea", [30.0, 5.0])
def test_no_water_is_warmer_than_at_the_limit_and_what_mixes_with_it_is_less(sea: float) -> None:
    """A trickle of a tenth through a: at the limit where it meets b's, weighted by flow.

    b's water, the other nine tenths, has 3125 W: with w = rho cp, 3125/(w 0.9 Q) K.
    """
    ways = manifold(a=served("a"), b=served("b"))
    network = build(loop_of({"a": "58 kW", "b": "2500 W", "last": "1 kW"}, ways, *served("last")))
    flow = flows_of(network, 3e-4, a=0.3e-4, b=2.7e-4)
    carried = SEA_30.density * SEA_30.heat_capacity * 2.7e-4
    mixed = 0.1 * (TRIPS - sea) + 0.9 * 3125 / carried
    assert warmth(network, flow, sea)["last"] == pytest.approx(mixed, rel=1e-6)


def every(network: Network, flow: Array, count: int) -> Array:
    return inlet_rises(network, np.tile(flow, (count, 1)), np.linspace(10.0, 30.0, count))


def test_water_that_goes_round_nearly_for_ever_settles_all_the_same() -> None:
    """Nine parts in ten come back: 2 L/s through a, 1.8 of them back through b, 0.2 go on.

    What leaves holds the heat of both: 5625/(w 0.2e-3) = 6.8794 K. b adds 3125/(w 1.8e-3) =
    0.42466 K to that, and a gets nine tenths of 7.3041 K: 6.5737 K. (w = 4.0883e6 J/(m3 K))
    """
    units = {"a": "2000 W", "b": "2500 W", "last": "1000 W"}
    network = build(loop_of(units, manifold(a=served("a"), b=served("b")), *served("last")))
    rises = warmth(network, flows_of(network, 2e-4, a=2e-3, b=-1.8e-3))
    assert rises["last"] == pytest.approx(6.8794, rel=1e-4)
    assert rises["a"] == pytest.approx(6.5737, rel=1e-4)
    # Cases solved together converge as each does alone.
    flow = flows_of(network, 2e-4, a=2e-3, b=-1.8e-3)
    assert every(network, flow, 3)[:, 2] == pytest.approx([6.8794] * 3, rel=1e-4)
