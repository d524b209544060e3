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


@pytest.mark.parametrize(("bore", "held"), [(0.005, 0.001), (0.03, 2 * BORE)])
def test_bores_are_shifted_by_a_sixteenth_of_an_inch_or_a_fifth_of_them_at_most(
    bore: float, held: float
) -> None:
    network = build(job_of((3, "bore", f"{bore} m"), (3, "barbs", 0)))
    shifts = np.array([held, 1.01 * held, 5 * held, 0.95 * held])
    for sign in (1, -1):
        at, past, far, inside = bore_factors(network, sign * shifts)[:, 2]
        assert at == past == far
        assert abs(np.log(inside)) < 0.98 * abs(np.log(at))


def test_loss_goes_with_bore_as_in_turbulent_pipes() -> None:
    """A bare hose at one flow: f L/D V² ~ D^−5, and f itself a little up in a narrower bore."""
    network = build(job_of(*((number, "barbs", 0) for number in (3, 5, 8, 10))))
    wide, narrow = bore_factors(network, np.array([BORE, -BORE]))[:, 7]
    bore = 0.75 * 0.0254
    for factor, shift in ((wide, BORE), (narrow, -BORE)):
        power = np.log(factor) / np.log((bore + shift) / bore)
        assert -5.4 < power < -4.7


def test_a_line_that_nothing_moves_has_no_band() -> None:
    shut = build(job_of((2, "open", "0 %")))
    low, high = flow_band(shut, np.zeros(1))
    assert low == high == 0


def test_the_band_moves_with_the_middle_and_holds_it() -> None:
    low, high = flow_band(NETWORK, MIDDLE)
    assert 0 < low[0] < MIDDLE[0] < high[0]
    # A pump 8 % off and losses 25 % off: between 3 and 15 % of the flow either way.
    assert 0.03 < 1 - low[0] / MIDDLE[0] < 0.15
    assert 0.03 < high[0] / MIDDLE[0] - 1 < 0.15
