"""Networks with more than one balance, and networks that never converge: reported, limited."""

import time
from typing import Any

import numpy as np
import pytest

from loop.hydraulics import build, solve, solve_flows
from loop.hydraulics.other_solutions import least_share, other_solutions
from loop.hydraulics.solver import balanced_from
from loop.job import Job
from tests.random_jobs import random_job
from tests.test_balance import many


def narrow_header(header: float) -> Job:
    """Two branches that rejoin and one that discharges overboard, on 30 deg wyes and 25 mm hose."""

    def way(name: str, *end: dict[str, Any]) -> dict[str, Any]:
        hose = {"kind": "hose", "length": 1.0, "to": 0.2, "barbs": 0}
        unit = {"kind": "condenser", "serves": name, "loss": "3 kPa at 15 L/min"}
        return {"name": name, "part": [hose, unit, hose, *end]}

    out = {"kind": "discharge", "height": 0.2}
    names = ["a", "b", "c"]
    return Job.model_validate(
        {
            "water": {"temperature": 20.0},
            "defaults": {"bore": 0.025},
            "condenser": [{"name": name, "cooling": 3000.0} for name in names],
            "part": [
                {"kind": "intake", "height": -0.4},
                {"kind": "hose", "length": 1.0, "to": -0.25, "barbs": 0},
                {"kind": "pump", "curve": "demo-ac-700"},
                {"kind": "hose", "length": 1.0, "to": 0.2, "barbs": 0},
                {
                    "kind": "manifold",
                    "bore": header,
                    "angle": np.radians(30),
                    "branch": [way("a"), way("b"), way("c", out)],
                },
                {"kind": "hose", "length": 2.0, "to": 0.5, "barbs": 0},
                {"kind": "discharge", "height": 0.5},
            ],
        }
    )


def test_two_balanced_answers_are_both_found_and_the_worse_is_shown() -> None:
    """A narrow header draws water back through one branch, or through the other."""
    job = narrow_header(0.012)
    point = solve(job)
    assert point.other is not None
    network = point.network
    flows = np.stack([point.line_flow, point.other.line_flow])
    assert np.sign(flows[:, 1]).tolist() in ([-1, 1], [1, -1])
    # Each is a fixed point: the solver, started from either, stays there.
    both = balanced_from(network, flows)
    assert both.settled.all()
    scale = float(np.abs(flows).max())
    assert both.line_flow == pytest.approx(flows, abs=2e-3 * scale)
    worse, better = (least_share(network, row) for row in flows)
    assert worse < better
    assert point.flow == point.line_flow[network.pump_line]


def test_with_a_wide_header_there_is_one_answer() -> None:
    for job in (narrow_header(0.025), many(4)):
        assert solve(job).other is None


def test_a_series_loop_has_one_answer() -> None:
    for seed in range(12):
        network = build(random_job(np.random.default_rng(seed), 3, 0))
        assert len(other_solutions(network, solve_flows(network)).line_flow) == 0


def narrowed(seed: int) -> Job:
    """A random network whose headers have bores of 3 to 100 mm and all angles."""
    rng = np.random.default_rng([5, seed])
    job = random_job(rng, 4, int(rng.integers(1, 3)))
    parts = tuple(
        part.model_copy(update={"bore": float(np.exp(rng.uniform(-5.8, -2.3))), "angle": 0.53})
        if part.kind == "manifold"
        else part
        for part in job.part
    )
    return job.model_copy(
        update={"part": parts, "fitted": job.fitted.model_copy(update={"loss": 0.05})}
    )


def test_no_network_is_asked_for_longer_than_its_size_allows() -> None:
    """However hard its tees: it converges, or is once reported as unsettled and left alone."""
    for seed in range(40):
        begun = time.process_time()
        point = solve(narrowed(seed))
        assert time.process_time() - begun < 3.0
        assert point.network.settles == point.settled
        begun = time.process_time()
        solve_flows(point.network)
        assert time.process_time() - begun < 0.5
