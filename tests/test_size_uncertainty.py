"""Monte Carlo samples of a sizing: the day's conditions on top of how loops are built."""

import numpy as np
import pytest

from loop import tolerances
from loop.hydraulics import Network, build, solve_flows
from loop.hydraulics.monte_carlo import draw_columns, sampled_cases
from loop.size.chances import Chances, _none_can
from loop.size.fit_choice import with_choice
from loop.size.options import bore_lists, kits
from loop.size.uncertainty import BLOCK, Samples, cases, distributions, samples_of, sea_temperatures
from loop.size.worst_case import at_worst_service
from tests.loops import job_of
from tests.sizable import sizable


def nothing(network: Network, count: int = 1, **day: float) -> Samples:
    """Samples in which everything is as stated except what is given."""
    names = next(samples_of(network, count, 0)).day
    return Samples(
        {name: np.full(count, day.get(name, 0.0)) for name in names},
        np.zeros((count, draw_columns(network))),
    )


def test_the_same_seed_draws_the_same_and_another_does_not() -> None:
    network = build(job_of())
    first, again, other = (next(samples_of(network, 50, seed)) for seed in (3, 3, 4))
    assert np.array_equal(first.built, again.built)
    assert not np.array_equal(first.built, other.built)


def test_draws_come_in_blocks_that_differ() -> None:
    one, rest = samples_of(build(job_of()), BLOCK + 500, 1)
    assert (one.count, rest.count) == (BLOCK, 500)
    assert not np.array_equal(one.built[:500], rest.built)


def test_a_draw_of_nothing_leaves_the_loop_as_it_is() -> None:
    network = build(job_of((4, "blocked", "50 %")))
    found = cases(network, nothing(network))
    assert np.allclose(found.loss, 1.0)
    assert solve_flows(network, found).line_flow == pytest.approx(solve_flows(network).line_flow)


def test_the_day_comes_on_top_of_how_the_loop_is_built() -> None:
    """With the day as stated, exactly the loops of the band."""
    network = build(job_of())
    some = next(samples_of(network, 20, 2))
    found = cases(network, Samples(nothing(network, 20).day, some.built))
    assert found.loss == pytest.approx(sampled_cases(network, some.built).loss)


@pytest.mark.parametrize(("name", "more"), [("sea", True), ("blocked", False)])
def test_each_draw_moves_the_flow_the_way_it_should(name: str, more: bool) -> None:
    """Warmer water is less viscous."""
    network = build(job_of((4, "blocked", "50 %")))
    low, middle, high = (
        float(solve_flows(network, cases(network, nothing(network, **{name: at}))).line_flow[0, 0])
        for at in (-1.0, 0.0, 1.0)
    )
    assert (low < middle < high) if more else (low > middle > high)


def test_supply_moves_a_dc_pump_only() -> None:
    for pump, moves in (("demo-dc-320", True), ("demo-ac-350", False)):
        network = build(job_of((6, "curve", pump)))
        low, high = (
            float(solve_flows(network, cases(network, nothing(network, supply=at))).line_flow[0, 0])
            for at in (-1.0, 1.0)
        )
        assert (low < high) == moves


def test_the_sea_stays_within_the_waters_range() -> None:
    network = build(job_of(("water", "temperature", "40 degC")))
    assert float(sea_temperatures(network, nothing(network, sea=10.0))[0]) == 45.0


def test_every_distribution_says_where_it_is_from() -> None:
    found = distributions(build(job_of()))
    assert all(one.basis and one.spread and one.shared for one in found)
    assert found[0].basis == tolerances.PUMP_FLOW.source
    assert found[0].spread == "±8%"


def test_a_look_at_the_most_favorable_case_changes_no_chance() -> None:
    """Where every unit seems short: on lines and on manifolds, with every bore of the job."""
    looked = {True: 0, False: 0}
    for seed in range(30):
        rng = np.random.default_rng([seed, 77])
        job = sizable(rng)
        for kit in kits(job):
            bores = [min(sizes) for sizes in bore_lists(job, kit)]
            option = with_choice(job, kit.with_bores(bores))
            network = build(at_worst_service(option))
            chances = Chances(draws=100)
            told = _none_can(network, cases(network, next(samples_of(network, 100, 1))))
            looked[told] += 1
            assert chances.unit_chances(option, short=True) == chances.unit_chances(option)
    assert min(looked.values()) >= 5


@pytest.mark.extended
@pytest.mark.parametrize("start", range(0, 2000, 100))
def test_no_chance_changes_on_very_many_jobs(start: int) -> None:
    for seed in range(start, start + 100):
        job = sizable(np.random.default_rng([seed, 78]))
        for kit in kits(job):
            for size in (min, max):
                option = with_choice(job, kit.with_bores([size(b) for b in bore_lists(job, kit)]))
                chances = Chances(draws=100)
                assert chances.unit_chances(option, short=True) == chances.unit_chances(option)
