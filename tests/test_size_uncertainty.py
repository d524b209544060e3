"""The draws: what they are, what they are shared by, and what they do to the flow."""

import numpy as np
import pytest

from loop.hydraulics import build, solve_flows
from loop.hydraulics.band import LOSS, PUMP_FLOW
from loop.size.uncertainty import BLOCK, DISTRIBUTIONS, Draws, cases, drawn, sea_temperatures
from tests.loops import job_of


def nothing(count: int = 1, **single: float) -> Draws:
    """Draws in which all is as stated but what is given."""
    some = next(drawn(count, 0))
    return Draws(
        {name: np.full(count, single.get(name, 0.0)) for name in some.single},
        {kind: np.zeros(count) for kind in some.kinds},
    )


def test_the_same_seed_draws_the_same_and_another_does_not() -> None:
    first, again, other = (next(drawn(50, seed)) for seed in (3, 3, 4))
    assert np.array_equal(first.single["bore"], again.single["bore"])
    assert not np.array_equal(first.single["bore"], other.single["bore"])


def test_draws_fill_their_range_evenly_and_independently() -> None:
    blocks = list(drawn(BLOCK + 500, 1))
    assert [block.count for block in blocks] == [BLOCK, 500]
    columns = [*blocks[0].single.values(), *blocks[0].kinds.values()]
    # Mean and variance of a rectangle from -1 to 1 are 0 and 1/3; five standard errors of room.
    for values in columns:
        assert abs(values).max() <= 1
        assert abs(values.mean()) < 5 * np.sqrt(1 / 3 / BLOCK)
        assert values.var() == pytest.approx(1 / 3, abs=5 * np.sqrt(4 / 45 / BLOCK))
    off_diagonal = np.corrcoef(columns) - np.eye(len(columns))
    assert abs(off_diagonal).max() < 5 / np.sqrt(BLOCK)


def test_a_draw_of_nothing_leaves_the_loop_as_it_is() -> None:
    network = build(job_of((4, "blocked", "50 %")))
    assert np.allclose(cases(network, nothing()).loss, 1.0)
    flow = solve_flows(network, cases(network, nothing())).line_flow
    assert flow == pytest.approx(solve_flows(network).line_flow)


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("pump_flow", True),
        ("pump_head", True),
        ("bore", True),
        ("barb", True),
        ("sea", True),  # warmer water is thinner
        ("blocked", False),
    ],
)
def test_each_draw_moves_the_flow_the_way_it_should(name: str, more: bool) -> None:
    network = build(job_of((4, "blocked", "50 %")))
    low, middle, high = (
        float(solve_flows(network, cases(network, nothing(**{name: at}))).line_flow[0, 0])
        for at in (-1.0, 0.0, 1.0)
    )
    assert (low < middle < high) if more else (low > middle > high)


def test_supply_moves_a_dc_pump_only() -> None:
    for pump, moves in (("demo-dc-320", True), ("demo-ac-350", False)):
        network = build(job_of((6, "curve", pump)))
        flow = [
            float(solve_flows(network, cases(network, nothing(supply=at))).line_flow[0, 0])
            for at in (-1.0, 1.0)
        ]
        assert (flow[0] < flow[1]) == moves


def test_parts_of_one_kind_share_a_draw_and_kinds_do_not() -> None:
    network = build(job_of())
    kinds = [part.kind for part in network.parts]
    draws = nothing(2)
    draws.kinds["hose"][:] = (1.0, 0.0)
    loss = cases(network, draws).loss
    assert loss is not None
    hoses = [i for i, kind in enumerate(kinds) if kind == "hose"]
    others = [i for i, kind in enumerate(kinds) if kind not in ("hose", "pump")]
    assert np.allclose(loss[0, hoses], 1 + LOSS)
    assert np.allclose(loss[0, others], 1.0)
    assert np.allclose(loss[1], 1.0)


def test_a_pumps_error_is_one_for_all_flows() -> None:
    found = cases(build(job_of()), nothing(3, pump_flow=1.0))
    assert found.pump_flow == pytest.approx(np.full(3, 1 + PUMP_FLOW))


def test_the_sea_stays_within_the_waters_range() -> None:
    network = build(job_of(("water", "temperature", "44.5 degC")))
    assert float(sea_temperatures(network, nothing(sea=1.0))[0]) == 45.0


def test_every_distribution_says_where_it_is_from() -> None:
    assert all(one.basis and one.spread and one.shared for one in DISTRIBUTIONS)
    assert "ISO 9906:2012" in DISTRIBUTIONS[0].basis
