"""Negligible flows, and walks along flowing water that end at the sea."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.hydraulics import Network, build, solve
from loop.hydraulics.network import SEA_OUT
from loop.hydraulics.running_lines import TRICKLE, path_to_sea, without_trickle
from tests.square_loops import bypass, square_job, unit, way

DISCHARGE = {"kind": "discharge", "height": "-16 in"}


def nested() -> Network:
    """Six branches in two manifolds, one of them in a branch of the other; two end overboard."""
    inner = {
        "kind": "manifold",
        "bore": "1 in",
        "branch": [way("c"), way("d", 9.0), {**way("e"), "part": [unit("e"), DISCHARGE]}],
    }
    ways = [
        way("a"),
        way("b", 12.0),
        {"name": "more", "part": [{"kind": "fitting", "k": 1}, inner, {"kind": "fitting", "k": 1}]},
        bypass(30.0),
        {"name": "over", "part": [unit("f"), DISCHARGE]},
    ]
    return build(square_job(dict.fromkeys("abcdef", 100.0), ways))


NETWORK = nested()
FLOWS = st.floats(-2e-4, 2e-4) | st.floats(-3e-9, 3e-9) | st.sampled_from([0.0, 5e-324, 7e-14])


def imbalance(network: Network, flow: np.ndarray) -> np.ndarray:
    """Flow into each joint less the flow out of it [m³/s]."""
    found = np.zeros(network.joints)
    for line, size in zip(network.lines, flow, strict=True):
        if line.start >= 0:
            found[line.start] -= size
        if line.end >= 0:
            found[line.end] += size
    return found


def test_an_answer_without_trickles_is_left_as_it_is() -> None:
    flow = solve(NETWORK.job).line_flow
    assert (np.abs(flow) > TRICKLE).all()
    assert without_trickle(NETWORK, flow) is flow


@given(st.lists(FLOWS, min_size=len(NETWORK.lines), max_size=len(NETWORK.lines)))
def test_whatever_the_flows_every_walk_along_running_water_ends_at_the_sea(
    given_flows: list[float],
) -> None:
    flow = without_trickle(NETWORK, np.array(given_flows))
    running = np.flatnonzero(flow)
    assert (np.abs(flow[running]) >= TRICKLE).all()
    for line in running:
        for sense in (1, -1):
            way = (int(line), *path_to_sea(NETWORK, flow, int(line), sense))
            assert len(set(way)) == len(way)
            last = NETWORK.lines[way[-1]]
            assert (last.end if flow[way[-1]] * sense > 0 else last.start) < 0


PATHS = [{NETWORK.line_of[part] for part in parts} for _, parts in NETWORK.paths()]


@given(st.lists(st.floats(1e-13, 1e-3), min_size=len(PATHS), max_size=len(PATHS)))
def test_what_is_left_balances_at_every_joint(sizes: list[float]) -> None:
    """From balanced flows: one along each path from sea to sea, some of them negligible."""
    flow = np.zeros(len(NETWORK.lines))
    for path, size in zip(PATHS, sizes, strict=True):
        flow[list(path)] += size
    kept = without_trickle(NETWORK, flow)
    assert np.abs(imbalance(NETWORK, kept)).max() <= 1e-12 * flow.max()
    assert np.abs(kept - flow).max() <= TRICKLE * len(flow)


def test_water_that_only_goes_round_runs_to_no_sea() -> None:
    flow = np.zeros(len(NETWORK.lines))
    inner = [n for n, line in enumerate(NETWORK.lines) if line.branch.startswith("more / ")]
    one, other = (n for n in inner if NETWORK.lines[n].end != SEA_OUT)
    flow[one], flow[other] = 1e-4, -1e-4
    with pytest.raises(ValueError, match="no water runs from line"):
        path_to_sea(NETWORK, flow, one)
    assert not without_trickle(NETWORK, flow).any()
