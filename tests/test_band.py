"""The flow band: of loops sampled from the tolerance table, 95 in 100 lie inside it."""

import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics import Network, build, flow_band, solve, solve_flows
from loop.hydraulics.band import band_draws, band_edges, sampled_flows
from loop.hydraulics.leg_states import certainly_full
from loop.hydraulics.monte_carlo import COLUMN, SHARED, draw_columns, sampled_cases
from loop.job import Job
from loop.parts.friction import GRAVITY
from tests.branches import branched, lifting, siphoning
from tests.loops import job_of
from tests.random_jobs import random_job

LOOPS = {
    "plain": job_of(),
    "tight strainer": job_of((4, "blocked", "80 %")),
    "ribbed hose": job_of((8, "lining", "ribbed"), (8, "length", "40 ft")),
    "fitted": job_of(
        ("fitted", "loss", 1.1),
        ("fitted", "spread", [0.06, 0.01, 0.08]),
        ("fitted", "correlation", [0.5, 0.0, 0.0]),
    ),
    "two branches": branched(2),
    "four branches": branched(4),
    "four branches on a narrow header": branched(4, bore="3/4 in"),
    "six branches": branched(6),
    "near shut-off": lifting(3.2),
    "hardly lifts": lifting(3.45),
    "just not": lifting(3.52),
    "a leg that three in a hundred leave with air": siphoning(0.027),
    "a leg that two of three leave with air": siphoning(0.028),
    "two branches whose legs are near their limit": branched(2, hose="1.1 in"),
    "four branches whose legs are near their limit": branched(4, hose="0.93 in"),
}


def inside(job: Job, count: int, seed: int) -> Array:
    """Share of newly sampled loops whose flow lies in the band, for each unit of a job.

    Each sampled loop starts by itself, with air in whichever legs its own flow leaves it.
    """
    network, point = build(job), solve(job)
    low, high = point.line_low, point.line_high
    normal = np.random.default_rng(seed).standard_normal((count, draw_columns(network)))
    flows = solve_flows(network, sampled_cases(network, normal))
    units = [network.line_of[network.condenser_part(unit.name)] for unit in job.condenser]
    found = flows.line_flow[flows.settled][:, units]
    slack = 1e-12
    return np.mean((found >= low[units] - slack) & (found <= high[units] + slack), axis=0)


@pytest.mark.parametrize("name", LOOPS)
def test_of_drawn_loops_95_in_100_lie_in_the_band_of_each_unit(name: str) -> None:
    """4,000 loops: their scatter is 0.3 %. A band that reaches zero flow may hold more."""
    share = inside(LOOPS[name], 4000, 5)
    assert np.all(share >= 0.93)
    if solve(LOOPS[name]).flow_low > 0:
        assert np.all(share <= 0.97)


@pytest.mark.parametrize("bore", [0.0265, 0.027, 0.0275, 0.028, 0.0285, 0.029])
def test_the_loops_behind_the_band_have_their_legs_each_in_its_own_state(bore: float) -> None:
    """Near a leg's limit some hold air and some do not; solved at the extremes, all are found."""
    point = solve(siphoning(bore))
    network = point.network
    drawn = sampled_flows(network, point.line_flow)
    alone = solve_flows(build(network.job), sampled_cases(network, band_draws(network)))
    assert np.array_equal(drawn.air, alone.air)
    assert drawn.line_flow == pytest.approx(alone.line_flow, rel=1e-6)
    assert 0 < alone.air.mean() < 1 or abs(point.legs[0].froude / point.legs[0].clears[1] - 1) > 0.1


@pytest.mark.extended
def test_the_band_holds_95_in_100_of_random_loops() -> None:
    """Random series loops and networks, from a drip to a ship's main."""
    rng = np.random.default_rng(11)
    off, seen = [], 0
    for number in range(300):
        job = random_job(rng, depth=number % 2)
        point = solve(job)
        for unit, share in zip(job.condenser, inside(job, 4000, number), strict=True):
            _, low, _ = point.part_flow(point.network.condenser_part(unit.name))
            seen += 1
            if share < 0.93 or (low > 0 and share > 0.97):
                off.append((number, unit.name, float(share)))
    assert len(off) <= 0.01 * seen, off


def test_near_shut_off_the_low_edge_is_nothing_and_the_high_edge_is_not() -> None:
    weak = solve(LOOPS["just not"])
    assert weak.flow == weak.flow_low == 0
    assert weak.flow_high > 0


def test_a_branch_alone_varies_more_than_all_of_them_together() -> None:
    """A branch's own losses make its share uncertain, on top of the whole flow's uncertainty."""
    point = solve(branched(4))
    whole = (point.flow_high - point.flow_low) / point.flow
    for unit in point.network.job.condenser:
        flow, low, high = point.part_flow(point.network.condenser_part(unit.name))
        assert (high - low) / flow > 1.2 * whole


def test_a_measured_barb_narrows_the_band() -> None:
    barbs = [(number, "barb_bore", "0.61 in") for number in (3, 5, 8, 10)]
    by_rule, measured = solve(job_of()), solve(job_of(*barbs))
    narrow, wide = (
        (point.flow_high - point.flow_low) / point.flow for point in (measured, by_rule)
    )
    assert narrow < 0.98 * wide


def test_a_baseline_narrows_the_band() -> None:
    plain, fitted = (solve(LOOPS[name]) for name in ("plain", "fitted"))
    assert fitted.flow_high - fitted.flow_low < 0.75 * (plain.flow_high - plain.flow_low)


def test_a_line_that_nothing_moves_has_no_band() -> None:
    low, high = flow_band(build(job_of((2, "open", "0 %"))), np.zeros(1))
    assert low == high == 0


def test_the_band_moves_with_the_middle_and_holds_it() -> None:
    network = build(job_of())
    middle = solve_flows(network).line_flow[0]
    low, high = flow_band(network, middle)
    assert 0 < low[0] < middle[0] < high[0]
    # A pump 8 % off, losses 25 % off and barbs 8 % off: between 5 and 15 % of the flow either way.
    assert 0.05 < 1 - low[0] / middle[0] < 0.15
    assert 0.05 < high[0] / middle[0] - 1 < 0.15


def test_edges_of_a_normal_are_1_96_standard_deviations_out() -> None:
    """For anything linear in the samples the limits are nearly exact, whatever the sample."""
    normal = band_draws(build(job_of()))
    slopes = np.arange(1.0, normal.shape[1] + 1)
    spread = float(np.linalg.norm(slopes))
    low, high = band_edges((normal @ slopes)[:, None], normal)
    assert low[0] == pytest.approx(-1.96 * spread, rel=0.015)
    assert high[0] == pytest.approx(1.96 * spread, rel=0.015)


def _one(network: Network, name: str, at: float) -> float:
    normal = np.zeros((1, draw_columns(network)))
    normal[0, COLUMN[name]] = at
    return float(
        solve_flows(network, sampled_cases(network, normal)).line_flow[0, network.pump_line]
    )


@pytest.mark.parametrize(
    "name", [name for name in SHARED if name not in ("speed", "barb_measured")]
)
def test_each_draw_moves_the_flow_the_way_it_should(name: str) -> None:
    """More pump, more bore and less loss mean more flow; tees count if there are any."""
    base = branched(2) if name == "tee" else LOOPS["ribbed hose"]
    low, middle, high = (_one(build(base), name, at) for at in (-2.0, 0.0, 2.0))
    more = name in ("pump_flow", "pump_head", "bore", "barb")
    assert (low < middle < high) if more else (low > middle > high)


@pytest.mark.parametrize("count", [1, 2, 7])
def test_edges_of_fewer_draws_than_are_uncertain_lie_among_them(count: int) -> None:
    """A few samples are all that is left if a network hardly ever converges."""
    rng = np.random.default_rng(3)
    values, normal = rng.normal(5, 1, (count, 4)), rng.normal(size=(count, 12))
    low, high = band_edges(values, normal)
    assert (values.min(axis=0) <= low).all()
    assert (low <= high).all()
    assert (high <= values.max(axis=0)).all()


def test_legs_that_surely_fill_are_swept_clear_in_every_sample() -> None:
    """With air in the leg, the water of each sample is faster than sweeps it down and holds it."""
    sure = []
    for bore in (0.02, 0.024, 0.027, 0.028):
        network = build(siphoning(bore))
        (section,) = network.sections
        cases = sampled_cases(network, band_draws(network))
        sure.append(certainly_full(network, cases))
        flow = solve_flows(network.with_air([True]), cases).line_flow[:, section.line]
        froude = flow / (np.pi / 4 * section.bore**2 * np.sqrt(GRAVITY * section.bore))
        swept = (froude > max(section.clears[1], section.holds)).all()
        assert swept or not sure[-1]
    assert set(sure) == {True, False}
    # Of branches nothing is sure.
    network = build(branched(2))
    assert not certainly_full(network, sampled_cases(network, band_draws(network)))
