"""The band about the flow: each tolerance by itself, and their sum."""

import numpy as np
import pytest

from loop.hydraulics import Cases, bore_factors, build, flow_band, solve_flows
from loop.hydraulics.band import BORE, LOSS, PUMP_FLOW, PUMP_HEAD
from loop.parts import Hose
from tests.loops import job_of

NETWORK = build(job_of())
MIDDLE = solve_flows(NETWORK).line_flow[0]


def test_iso_9906_grade_2b_and_the_estimates() -> None:
    """ISO 9906:2012, grade 2B: 8 % of flow, 5 % of head; the others are the handbook's."""
    assert (PUMP_FLOW, PUMP_HEAD) == (0.08, 0.05)
    assert LOSS == 0.25
    assert pytest.approx(0.79375e-3) == BORE


def test_independent_tolerances_add_as_the_root_of_squares() -> None:
    """By hand from the eight solves: what lowers the flow makes the low edge, and so on."""
    one = np.ones((1, len(NETWORK.parts)))
    wide, narrow = bore_factors(NETWORK, np.array([BORE, -BORE]))
    pairs = [
        [Cases(pump_flow=np.array([1 + sign * PUMP_FLOW])) for sign in (-1, 1)],
        [Cases(pump_head=np.array([1 + sign * PUMP_HEAD])) for sign in (-1, 1)],
        [Cases(loss=one * (1 - sign * LOSS)) for sign in (-1, 1)],
        [Cases(loss=factors[None, :]) for factors in (narrow, wide)],
    ]
    below, above = (
        np.array([float(solve_flows(NETWORK, case).line_flow[0, 0] - MIDDLE[0]) for case in side])
        for side in zip(*pairs, strict=True)
    )
    assert (below < 0).all()
    assert (above > 0).all()
    low, high = flow_band(NETWORK, MIDDLE)
    assert low[0] == pytest.approx(MIDDLE[0] - np.sqrt(np.sum(below**2)))
    assert high[0] == pytest.approx(MIDDLE[0] + np.sqrt(np.sum(above**2)))


def test_a_wider_bore_loses_less_in_hoses_only() -> None:
    """Without barbs: those keep their bore, and step further up to a wider hose."""
    network = build(job_of(*((number, "barbs", 0) for number in (3, 5, 8, 10))))
    factors = bore_factors(network, np.array([-2 * BORE, -BORE, 0.0, BORE, 2 * BORE]))
    for index, part in enumerate(network.parts):
        if isinstance(part, Hose):
            assert np.all(np.diff(factors[:, index]) < 0)
            assert factors[2, index] == pytest.approx(1.0)
        else:
            assert (factors[:, index] == 1).all()
    # Held past 1/16 in.
    assert bore_factors(network, np.array([1.0])) == pytest.approx(factors[-1:])


def test_the_factor_is_the_hoses_own_loss_at_another_bore() -> None:
    """At 1 m/s, where it is taken, by the hose itself with its barbs as they were."""
    index = next(i for i, part in enumerate(NETWORK.parts) if isinstance(part, Hose))
    hose = NETWORK.parts[index]
    assert isinstance(hose, Hose)
    flow = np.pi / 4 * hose.inner_bore**2
    wider = hose.model_copy(update={"bore": hose.inner_bore + BORE, "barb_bore": hose.barb})
    expected = wider.head_loss(flow, NETWORK.water) / hose.head_loss(flow, NETWORK.water)
    assert bore_factors(NETWORK, np.array([BORE]))[0, index] == pytest.approx(expected)
