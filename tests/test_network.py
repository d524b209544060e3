"""A job as lines and joints."""

import math

import pytest

from loop.hydraulics import build
from loop.hydraulics.network import SEA_IN, SEA_OUT, Line, Network
from loop.job import Job
from tests.loops import job_of

HOSE = {"kind": "hose", "length": 2.0}


def unit(number: int) -> dict[str, object]:
    return {"kind": "condenser", "serves": f"unit {number}", "loss": "8 kPa at 10 L/min"}


def job_with(
    branches: list[dict[str, object]], after: bool = True, angle: float = math.pi / 2
) -> Job:
    """A job of two units whose manifold has these branches."""
    end = [{**HOSE, "to": 0.1}, {"kind": "discharge", "height": 0.1}]
    return Job.model_validate(
        {
            "water": {"temperature": 25.0},
            "defaults": {"bore": 0.019},
            "condenser": [{"name": f"unit {i}", "cooling": 2500.0} for i in (1, 2)],
            "part": [
                {"kind": "intake", "height": -0.4},
                {"kind": "pump", "curve": "demo-ac-700"},
                {**HOSE, "to": 0.0},
                {"kind": "manifold", "bore": 0.025, "angle": angle, "branch": branches},
                *(end if after else []),
            ],
        }
    )


def rejoining() -> Network:
    return build(
        job_with(
            [
                {"name": "a", "part": [{**HOSE, "to": 0.2}, unit(1), {**HOSE, "to": 0.0}]},
                {"name": "b", "part": [{"kind": "tee", "bore": 0.04}, unit(2)]},
            ]
        )
    )


def overboard() -> Network:
    out = {"kind": "discharge", "height": 0.3}
    return build(
        job_with(
            [
                {"name": "a", "part": [{**HOSE, "to": 0.3}, unit(1), out]},
                {"name": "b", "part": [{**HOSE, "to": -0.1}, unit(2), {**out, "height": -0.1}]},
            ],
            after=False,
        )
    )


def test_a_series_loop_is_the_network_with_no_joints() -> None:
    network = build(job_of())
    (line,) = network.lines
    assert (line.start, line.end, network.joints, network.forks) == (SEA_IN, SEA_OUT, 0, ())
    assert line.parts == tuple(range(11))
    assert network.line_of == (0,) * 11
    assert network.pump_index == 5
    assert line.one_way  # a pump is given no reverse flow
    assert network.paths() == [("", line.parts)]


def test_a_line_of_which_no_more_is_said_ends_at_the_sea_and_is_open_both_ways() -> None:
    line = Line(parts=(0,), start=SEA_IN, end=SEA_OUT)
    assert (line.outlet_head, line.one_way, line.shut, line.branch) == (0.0, False, False, "")


def test_branches_that_join_again_make_two_joints() -> None:
    network = rejoining()
    assert [(line.start, line.end) for line in network.lines] == [(-1, 0), (0, 1), (0, 1), (1, -2)]
    assert [line.branch for line in network.lines] == ["", "a", "b", ""]
    (fork,) = network.forks
    assert (fork.split, fork.join, fork.first, fork.last) == (0, 1, (1, 2), (1, 2))
    # A branch wider than its header meets it at the header's bore.
    assert fork.bores == pytest.approx((0.019, 0.025))
    assert fork.header_bore == 0.025
    assert fork.names == ("a", "b")
    # The manifold itself counts with the line before it, and the branches join at their end.
    assert network.line_of[fork.manifold] == 0
    assert network.heights[fork.manifold] == 0.0
    ways = dict(network.paths())
    assert set(ways) == {"a", "b"}
    assert all(way[0] == 0 and way[-1] == len(network.parts) - 1 for way in ways.values())


def test_branches_that_end_overboard_make_one_joint() -> None:
    network = overboard()
    assert [(line.start, line.end) for line in network.lines] == [(-1, 0), (0, -2), (0, -2)]
    assert [line.outlet_head for line in network.lines] == [0.0, 0.3, 0.0]
    # A jet in the air draws nothing back; an outlet in the sea may.
    assert [line.one_way for line in network.lines] == [True, True, False]
    assert network.forks[0].join is None
    assert network.forks[0].last == (None, None)


def test_places_are_those_of_the_file() -> None:
    network = rejoining()
    assert network.places[:4] == (
        "part 1 (intake)",
        "part 2 (pump)",
        "part 3 (hose)",
        "part 4 (manifold)",
    )
    assert network.places[4] == "part 4 (manifold) branch 1 (a) part 1 (hose)"
    assert network.places[-1] == "part 6 (discharge)"
    assert network.branches[4:8] == ("a", "a", "a", "b")


def test_labels_are_the_users_own_or_made_up() -> None:
    labels = build(job_of((3, "label", "suction hose"))).labels
    assert labels[2] == "suction hose"
    assert labels[4] == "hose 2"  # the second of several
    assert labels[5] == "pump"  # the only one


def test_the_part_of_a_unit_is_found_by_its_name() -> None:
    network = rejoining()
    index = network.condenser_part("unit 2")
    assert network.branches[index] == "b"
    with pytest.raises(KeyError):
        network.condenser_part("unit 3")


def test_tables_have_a_column_a_part_and_none_where_nothing_is_lost() -> None:
    network = build(job_of((2, "open", "0 %")))
    assert network.tables.shape[1] == len(network.parts)
    assert (network.tables[:, network.pump_index] == 0).all()
    assert (network.tables[:, 1] == 0).all()  # shut: its line is closed instead
    assert network.lines[0].shut
    assert (network.tables[:, 2] > 0).all()
