"""Cases of a study: their number, and selections of them."""

import numpy as np
import pytest

from loop.hydraulics import Cases, build, solve_flows
from tests.loops import job_of

NETWORK = build(job_of())
PARTS = len(NETWORK.parts)


@pytest.mark.parametrize("name", ["speed", "pump_flow", "pump_head", "extra_head", "tee"])
def test_any_factor_may_have_a_row_a_case(name: str) -> None:
    cases = Cases(**{name: np.array([0.9, 1.0, 1.1])})
    assert cases.count == 3
    assert cases.broadcast(name).tolist() == [0.9, 1.0, 1.1]
    for other in {"speed", "pump_flow", "pump_head", "tee"} - {name}:
        assert cases.broadcast(other).tolist() == [1, 1, 1]
    assert solve_flows(NETWORK, cases).line_flow.shape == (3, 1)


def test_one_case_where_nothing_differs() -> None:
    assert Cases().count == 1
    assert Cases().broadcast("extra_head").tolist() == [0.0]
    assert Cases(loss=np.ones((1, PARTS))).count == 1
    assert Cases(loss=np.ones((7, PARTS))).count == 7
    plain = solve_flows(NETWORK)
    same = solve_flows(NETWORK, Cases(loss=np.ones((1, PARTS))))
    assert same.line_flow == pytest.approx(plain.line_flow)


def test_picked_cases_are_those_of_their_rows() -> None:
    rng = np.random.default_rng(1)
    names = ("speed", "pump_flow", "pump_head", "extra_head", "tee")
    cases = Cases(**{name: rng.random(6) for name in names}, loss=rng.random((6, PARTS)))
    for rows in (slice(2, 5), np.array([False, True, False, False, True, True])):
        picked = cases[rows]
        assert picked.count == 3
        for name in (*names, "loss"):
            assert (getattr(picked, name) == getattr(cases, name)[rows]).all()
    # What all cases share stays with the selected ones.
    shared = Cases(speed=rng.random(6), loss=np.ones((1, PARTS)))[2:4]
    assert shared.count == 2
    assert shared.loss is not None
    assert shared.loss.shape == (1, PARTS)
    assert shared.broadcast("tee").tolist() == [1, 1]
