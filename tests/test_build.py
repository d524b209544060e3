"""From a file's parts to lines: bores of headers, heights, nesting, and labels."""

from typing import Any

import pytest

from loop.hydraulics import Network, build
from loop.hydraulics.network import SEA_IN, SEA_OUT
from loop.job import Job, locate, parse_job
from loop.parts import Manifold
from tests.branches import branched
from tests.test_valves import nested

HOSE = {"kind": "hose", "length": 2.0, "bore": 0.019}


def job_of_bores(manifold: dict[str, Any], first: float, last: float) -> Job:
    """No default bore: each part states its own, the manifold only if one is given."""
    unit = {"kind": "condenser", "loss": "8 kPa at 10 L/min", "bore": 0.019}
    branches = [
        {"name": n, "part": [HOSE | {"to": 0.2, "bore": first}, unit | {"serves": n},
                             HOSE | {"to": 0.0, "bore": last}]}
        for n in "ab"
    ]  # fmt: skip
    return Job.model_validate(
        {
            "water": {"temperature": 25.0},
            "condenser": [{"name": n, "cooling": 2500.0} for n in "ab"],
            "part": [
                {"kind": "intake", "height": -0.4, "bore": 0.03},
                {"kind": "pump", "curve": "demo-ac-700"},
                HOSE | {"to": 0.0, "bore": 0.028},
                {"kind": "manifold", "branch": branches, **manifold},
                HOSE | {"to": 0.1},
                {"kind": "discharge", "height": 0.1, "bore": 0.019},
            ],
        }
    )


def test_a_header_has_its_own_bore_or_that_of_the_part_before_it() -> None:
    for given, bore in (({}, 0.028), ({"bore": 0.025}, 0.025)):
        (fork,) = build(job_of_bores(given, 0.016, 0.013)).forks
        assert fork.header_bore == bore
        assert fork.bores == (0.016, 0.016)
        assert fork.back_bores == (0.013, 0.013)
    # A branch wider than its header meets it at the header's bore, there and back.
    (fork,) = build(job_of_bores({"bore": 0.015}, 0.016, 0.017)).forks
    assert fork.bores == fork.back_bores == (0.015, 0.015)


def network() -> Network:
    return build(parse_job(nested()))


def test_a_manifold_in_a_branch_is_a_fork_between_the_branchs_own_lines() -> None:
    """Sea, branch to c, a1 and a2 after it, back; b beside it; sea: seven lines, four joints."""
    one = network()
    assert (len(one.lines), one.joints, len(one.forks)) == (7, 4, 2)
    inner, outer = one.forks
    assert inner.names == ("to a1", "to a2")
    assert outer.names == ("outer", "to b")
    # Lines come in flow order, and are identified by the branches that contain them.
    assert [line.branch for line in one.lines] == [
        "", "outer", "outer / to a1", "outer / to a2", "outer", "to b", ""
    ]  # fmt: skip
    assert (one.lines[0].start, one.lines[-1].end) == (SEA_IN, SEA_OUT)
    assert inner.first == inner.last == (2, 3)
    assert outer.first == (1, 5)
    assert outer.last == (4, 5)
    ends = {(one.lines[i].start, one.lines[i].end) for i in (2, 3)}
    assert ends == {(inner.split, inner.join)}
    assert one.lines[1].end == inner.split
    assert one.lines[4].start == inner.join
    assert one.lines[1].start == one.lines[5].start == outer.split
    assert one.lines[4].end == one.lines[5].end == outer.join
    assert inner.angle == outer.angle == pytest.approx(1.5707963)


def test_ways_through_nested_branches_meet_every_line_once() -> None:
    one = network()
    ways = dict(one.paths())
    assert [name for name, _ in one.paths()] == ["outer / to a1", "outer / to a2", "to b"]
    kinds = {name: [one.parts[i].kind for i in way] for name, way in ways.items()}
    assert kinds["outer / to a1"].count("condenser") == 2
    assert kinds["to b"].count("condenser") == 1
    for way in ways.values():
        assert list(way) == sorted(way)
        assert (one.parts[way[0]].kind, one.parts[way[-1]].kind) == ("intake", "discharge")
        assert one.pump_index in way


def test_places_and_heights_in_nested_branches() -> None:
    one = network()
    a2 = one.condenser_part("a2")
    assert one.places[a2] == (
        "part 9 (manifold) branch 1 (outer) part 4 (manifold) branch 2 (to a2) part 2 (condenser)"
    )
    # Hoses of the inner branches go up to 12 in and back to 6 in, where the outer's goes on.
    assert one.heights[a2] == pytest.approx(12 * 0.0254)
    assert one.heights[a2 + 1] == pytest.approx(6 * 0.0254)
    assert one.heights[one.forks[0].manifold] == pytest.approx(6 * 0.0254)
    assert one.heights[one.forks[1].manifold] == 0.0


def test_a_part_of_a_kind_alone_has_no_number() -> None:
    labels = network().labels
    assert labels[0] == "intake"
    assert [label for label in labels if label.startswith("condenser")] == [
        f"condenser {n}" for n in (1, 2, 3, 4)
    ]
    assert [label for label in labels if label.startswith("manifold")] == [
        "manifold 1",
        "manifold 2",
    ]
    assert "outer valve" in labels


def test_the_network_calls_parts_and_branches_as_every_list_of_them_does() -> None:
    """Also for a branch without a name, in a loop built in Python."""
    job = branched(2)
    manifold = next(part for part in job.part if isinstance(part, Manifold))
    bare = manifold.branch[0].model_copy(update={"name": ""})
    without = manifold.model_copy(update={"branch": (bare, *manifold.branch[1:])})
    parts = tuple(without if part is manifold else part for part in job.part)
    network = build(job.model_copy(update={"part": parts}))
    located = locate(parts)
    assert network.places == tuple(item.place for item in located)
    assert network.branches == tuple(item.branch for item in located)
    assert not any("()" in place for place in network.places)
