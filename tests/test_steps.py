"""How the solver converges, in how many steps, and what every answer satisfies."""

from pathlib import Path

import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.solver import _with_noise_zeroed
from loop.job import read_job
from tests.loops import job_of
from tests.random_jobs import random_cases, random_job
from tests.test_balance import many
from tests.test_network import overboard, rejoining

EXAMPLES = sorted(
    path
    for path in (Path(__file__).parent.parent / "examples").glob("*.toml")
    if not path.name.startswith("readings")
)
# From random jobs, by seed and number: cases with tees and walls that are hard to balance.
HARD = {
    (1000, 25): [91, 96],
    (1000, 151): [39, 42],
    (2010, 80): [68],
    (2029, 41): [30, 75],
    (2005, 5): [75],
    (2026, 16): [39],
    # Those in which Newton's method without a line search cycles.
    (2007, 99): [10, 62],
    (2028, 73): [16, 35],
    (1030, 87): [39, 88],
}


@pytest.fixture
def looks(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Number of cases evaluated, each time the losses of lines are computed."""
    seen: list[int] = []
    plain = LineLosses.lines

    def counted(losses: LineLosses, flows: Array) -> tuple[Array, Array]:
        seen.append(len(flows))
        return plain(losses, flows)

    monkeypatch.setattr(LineLosses, "lines", counted)
    return seen


def spent(looks: list[int]) -> list[int]:
    """Evaluations since the last call."""
    taken = looks[:]
    looks.clear()
    return taken


def drawn(seed: int, number: int, count: int) -> tuple[Network, Cases]:
    rng = np.random.default_rng([seed, number])
    network = build(random_job(rng, branches=5, depth=number % 3)).full
    return network, random_cases(rng, network, count)


# How many steps


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_newton_takes_a_dozen_steps_and_an_answer_takes_none(path: Path, looks: list[int]) -> None:
    """The error is quadratic: correct digits double, and there are only sixteen."""
    network = build(read_job(path)).full
    answer = solve_flows(network)
    assert answer.settled[0]
    assert len(spent(looks)) <= (20 if network.forks else 7)
    again = solve_flows(network, start=answer.line_flow)
    assert spent(looks) == [1]
    assert again.line_flow == pytest.approx(answer.line_flow, rel=1e-12)
    assert again.residual < 1e-8
    # Without tees it is one smooth function's minimum, found as fast with branches as without.
    assert solve_flows(network, Cases(tee=np.zeros(1))).settled[0]
    assert len(spent(looks)) <= 9


@pytest.mark.parametrize("network", [rejoining().full, overboard().full, build(many(3)).full])
def test_with_the_tees_slopes_a_network_needs_no_more_steps_than_a_loop(
    network: Network, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Newton's method on all heads at once: seven evaluations from the start, as in series."""
    monkeypatch.setattr("loop.hydraulics.newton_steps._LAGGING", 0)
    monkeypatch.setattr("loop.hydraulics.newton_steps._STEPS", 7)
    assert solve_flows(network).settled[0]


@pytest.mark.parametrize("network", [build(job_of()).full, rejoining().full, overboard().full])
@pytest.mark.parametrize("off", [1e-9, 1e-4, 1e4])
def test_from_far_off_a_few_more_steps_lead_back(
    network: Network, off: float, looks: list[int]
) -> None:
    answer = solve_flows(network)
    spent(looks)
    again = solve_flows(network, start=off * answer.line_flow)
    assert len(spent(looks)) <= 25
    assert again.settled[0]
    assert again.line_flow == pytest.approx(answer.line_flow, rel=1e-7)


def test_cases_that_have_settled_are_left_alone(looks: list[int]) -> None:
    """Of a hundred, one at a crawl: only it takes the last steps."""
    network = build(job_of()).full
    answer = solve_flows(network).line_flow
    spent(looks)
    speed = np.ones(100)
    speed[7] = 0.6
    solve_flows(network, Cases(speed=speed), start=answer)
    first, *others = spent(looks)
    assert first == 100
    assert 1 <= len(others) <= 6
    assert set(others) == {1}


def test_every_chunk_of_a_large_study_starts_where_it_is_told(looks: list[int]) -> None:
    network = build(job_of()).full
    cases = Cases(speed=np.linspace(0.6, 1.4, 9000))
    answer = solve_flows(network, cases)
    spent(looks)
    again = solve_flows(network, cases, start=answer.line_flow)
    taken = spent(looks)
    assert sum(taken) == 9000
    assert max(taken) <= 4096  # so that memory stays bounded
    assert again.line_flow == pytest.approx(answer.line_flow, rel=1e-12)
    assert (again.residual == answer.residual).all()


def test_random_networks_settle_within_a_budget_of_steps(looks: list[int]) -> None:
    """Thirty evaluations per case on average, though some of them chase their tees in circles."""
    cases = 0
    for number in range(24):
        network, ten = drawn(77, number, 10)
        assert solve_flows(network, ten).residual == pytest.approx(0.0, abs=1e-9)
        cases += 10
    assert sum(spent(looks)) <= 30 * cases


@pytest.mark.parametrize(("job", "rows"), HARD.items())
def test_hard_cases_settle(job: tuple[int, int], rows: list[int], looks: list[int]) -> None:
    network, hundred = drawn(*job, 100)
    hard = hundred[np.isin(np.arange(100), rows)]
    answer = solve_flows(network, hard)
    assert len(spent(looks)) <= 600
    assert answer.residual == pytest.approx(0.0, abs=1e-8)
    # In another order, twice over: the same.
    order = np.array([*range(len(rows)), *reversed(range(len(rows)))])
    twice = solve_flows(network, hundred[np.array(rows)[order]])
    size = np.abs(answer.line_flow).max()
    assert twice.line_flow == pytest.approx(answer.line_flow[order], rel=1e-6, abs=1e-9 * size)


# What an answer keeps


def test_no_water_is_lost_and_none_leaks_through_a_wall() -> None:
    """Joints balance to the last digits of the largest flow; check valves hold to the last drop."""
    standing = 0
    for number in range(24):
        network, ten = drawn(78, number, 10)
        flows = solve_flows(network, ten).line_flow
        largest = np.abs(flows).max(axis=1)
        for joint in range(network.joints):
            into = flows[:, network.ends == joint].sum(axis=1)
            out = flows[:, network.starts == joint].sum(axis=1)
            assert np.all(np.abs(into - out) <= 1e-12 * largest)
        held = flows[:, [line.one_way for line in network.lines]]
        assert np.all(held >= 0)
        assert not np.any((flows != 0) & (np.abs(flows) < 1e-13 * largest[:, None]))
        standing += np.count_nonzero((held == 0) & (largest > 0)[:, None])
    assert standing > 10


@pytest.mark.parametrize("scale", [1e-9, 1e-3, 1.0])
def test_what_is_none_beside_the_largest_is_none_at_any_scale(scale: float) -> None:
    """Less than 1e-12 of it; and whatever comes back through a wall."""
    losses = LineLosses(overboard(), Cases(), exact=False)
    assert losses.one_way.tolist() == [True, True, False]
    found = np.array([[1.0, 1e-11, -1e-13], [1.0, -1e-3, -1e-11], [0.0, 1e-13, -1.0]])
    kept = np.array([[1.0, 1e-11, 0.0], [1.0, 0.0, -1e-11], [0.0, 0.0, -1.0]])
    assert (_with_noise_zeroed(losses, scale * found) == scale * kept).all()


@pytest.mark.parametrize("network", [build(job_of()).full, rejoining().full])
@pytest.mark.parametrize("factor", [1e-3, 0.25, 4.0])
def test_all_heads_to_scale_leave_the_flows(network: Network, factor: float) -> None:
    """Pump, losses, tees and lift scaled alike: the same balance of the same flows."""
    loss = np.ones((2, len(network.parts)))
    loss[1] = factor
    scale = np.array([1.0, factor])
    lift = sum(line.outlet_head for line in network.lines)  # there is one way out
    cases = Cases(pump_head=scale, loss=loss, tee=scale, extra_head=lift * (1 - scale))
    one, other = solve_flows(network, cases).line_flow
    assert other == pytest.approx(one, rel=1e-6)


@pytest.mark.parametrize(("within", "steps"), [(1e-9, 4), (1e-6, 4), (1e-3, 3)])
def test_settled_is_what_misses_by_no_more_than_ten_times_what_was_asked(
    within: float, steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped after a few steps, some of many speeds have converged, and others have not."""
    monkeypatch.setattr("loop.hydraulics.newton_steps._STEPS", steps)
    cases = Cases(speed=np.linspace(0.3, 1.4, 200))
    answer = solve_flows(build(job_of()).full, cases, tolerance=within)
    assert (answer.settled == (answer.residual < 10 * within)).all()
    assert 0 < answer.settled.sum() < 200


@pytest.mark.parametrize("within", [1e-9, 1e-4, 1e-1])
def test_heads_are_balanced_as_closely_as_was_asked_and_flows_to_match(within: float) -> None:
    """A head residual drives no more flow than the loop's own slope allows."""
    network = build(job_of()).full
    cases = Cases(speed=np.linspace(0.6, 1.4, 50))
    near, exact = solve_flows(network, cases, tolerance=within), solve_flows(network, cases)
    assert np.all(near.residual <= within)
    apart = np.abs(near.line_flow - exact.line_flow)[:, 0]
    losses = LineLosses(network, cases, exact=False)
    slope = losses.lines(exact.line_flow)[1][:, 0]
    assert np.all(apart <= 1.1 * (within + 1e-9) / slope)
