"""Which units get water through which branches, in a network small enough to draw by hand."""

import pytest

from loop.balancing.isolation import (
    TRICKLE,
    bypasses,
    enclosing_branches,
    open_units,
    shut_on_path,
    shut_parts,
    valve_sites,
)
from loop.hydraulics import Network, build
from tests.loops import Table
from tests.square_loops import GALLONS, bypass, square_job, valve, way

NEEDS = {"a1": 50.0, "a2": 80.0, "b": 140.0}


def nested(*outer: Table, inner: tuple[Table, ...] = ()) -> Network:
    """Branch x holds a1, a2 and a bypass of them; b and another bypass are beside it."""
    header: Table = {
        "kind": "manifold",
        "branch": [way("a1", 5), way("a2", 5, *inner), bypass(9)],
    }
    ways = [
        {"name": "x", "part": [{"kind": "fitting", "k": 1}, *outer, header, _fitting()]},
        way("b", 3),
        {"name": "past", "part": [_fitting()]},
    ]
    return build(square_job(NEEDS, ways))


def _fitting() -> Table:
    return {"kind": "fitting", "k": 2.0}


def named(network: Network, indices: list[int]) -> list[str]:
    return [network.branches[i] for i in indices]


def test_a_branch_lies_in_the_main_line_and_in_all_that_it_is_named_after() -> None:
    assert enclosing_branches("") == [""]
    assert enclosing_branches("x") == ["", "x"]
    assert enclosing_branches("x / y / z") == ["", "x", "x / y", "x / y / z"]


def test_a_way_round_is_a_branch_with_neither_unit_nor_branches() -> None:
    network = nested()
    ways = bypasses(network)
    assert named(network, ways) == ["x / round", "past"]
    assert [network.parts[i].kind for i in ways] == ["fitting", "fitting"]
    assert bypasses(build(square_job({"a": 100}, [way("a"), way("c", units=("a2",))][:1]))) == []


@pytest.mark.parametrize(("place", "left"), [("x", ["past"]), ("a2", ["x / round", "past"])])
def test_a_way_round_behind_a_shut_valve_is_none(place: str, left: list[str]) -> None:
    shut = valve(90.0)
    network = nested(shut) if place == "x" else nested(inner=(shut,))
    assert named(network, bypasses(network)) == left
    table = [way("a"), bypass(3, shut)]
    assert bypasses(build(square_job({"a": 100}, table))) == []
    assert len(bypasses(build(square_job({"a": 100}, [way("a"), bypass(3, valve(80.0))])))) == 1


def test_a_unit_behind_a_shut_valve_is_not_open() -> None:
    network = nested()
    units = open_units(network)
    assert [name for name, _, _ in units] == ["a1", "a2", "b"]
    for name, index, need in units:
        assert index == network.condenser_part(name)
        assert need == pytest.approx(NEEDS[name] * GALLONS)
    assert shut_parts(network) == []
    assert [name for name, _, _ in open_units(nested(valve(90.0)))] == ["b"]
    assert [name for name, _, _ in open_units(nested(inner=(valve(82.1),)))] == ["a1", "b"]
    assert len(open_units(nested(inner=(valve(81.9),)))) == 3


def test_shut_parts_on_the_way_are_those_of_the_branch_and_of_what_it_lies_in() -> None:
    network = nested(valve(90.0), inner=(valve(90.0),))
    outer, inner = shut_parts(network)
    assert named(network, [outer, inner]) == ["x", "x / to a2"]
    shut = [outer, inner]
    assert shut_on_path(network, shut, network.condenser_part("a2")) == shut
    assert shut_on_path(network, shut, network.condenser_part("a1")) == [outer]
    assert shut_on_path(network, shut, network.condenser_part("b")) == []
    assert shut_on_path(network, [], network.condenser_part("a2")) == []
    # A part at an end of the outer branch is not behind what is shut in the inner one.
    assert shut_on_path(network, shut, outer) == [outer]


def test_the_unit_that_needs_most_is_the_one_that_a_branch_is_throttled_for() -> None:
    for first, second, third, chosen in (
        (50, 80, 60, "d"),
        (80, 50, 60, "a"),
        (50, 60, 80, "e"),
        (60, 60, 60, "a"),
    ):
        needs = {"a": first, "d": second, "e": third, "b": 70}
        job = square_job(needs, [way("a", units=("a", "d", "e")), way("b")])
        network = build(job)
        units = open_units(network)
        assert [unit[0] for unit in valve_sites(network, units)] == [chosen, "b"]
        assert all(unit in units for unit in valve_sites(network, units))
        assert [unit[0] for unit in valve_sites(network, units[1:])][-1] == "b"


def test_a_unit_ahead_of_others_branches_has_no_valve() -> None:
    header: Table = {"kind": "manifold", "branch": [way("a1"), way("a2")]}
    first = way("c", 1)
    first["part"] += [header, _fitting()]
    needs = {"c": 100.0, **NEEDS}
    network = build(square_job(needs, [first, way("b")]))
    assert [unit[0] for unit in valve_sites(network, open_units(network))] == ["a1", "a2", "b"]
    # With none of the inner units to serve, its own branch can be throttled for it.
    alone = [unit for unit in open_units(network) if unit[0] in "cb"]
    assert [unit[0] for unit in valve_sites(network, alone)] == ["c", "b"]


def test_a_trickle_is_far_below_what_a_meter_tells() -> None:
    """A trade flow meter is accurate to 1 % of its range (common practice)."""
    assert 0 < TRICKLE < 0.01
