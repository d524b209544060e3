"""Length of each of the solver's steps, and when it stops."""

import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.lines import LineLosses, initial_flows
from loop.hydraulics.newton_steps import (
    advance,
    aitken,
    content_slope,
    head_imbalance,
    linearized_flows,
)
from tests.loops import job_of
from tests.test_network import overboard, rejoining

# How far a step goes


@pytest.mark.parametrize("rate", [-18.0, -3.0, -1.0, -0.2, 0.0])
def test_aitkens_rule_ends_a_linear_iteration_at_its_second_step(rate: float) -> None:
    """x ← a + r x, with alternating steps: the fixed point is a / (1 − r)."""
    a = np.array([[1.0, -2.0, 0.5]])
    fixed = a / (1 - rate)
    for relax in (1.0, 0.4):
        x = np.array([[0.3, 0.1, 2.0]])
        before = a + rate * x - x
        x = x + relax * before
        step = a + rate * x - x
        share = aitken(np.array([relax]), before, step)
        assert x + share * step == pytest.approx(fixed)


def test_aitkens_rule_stretches_no_step_and_never_stops() -> None:
    """Steps in one direction are taken whole; the wildest at a twentieth; the first as given."""
    before = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 0.0], [2.0, 1.0], [0.0, 1.0]])
    step = np.array([[0.5, 0.0], [-99.0, 0.0], [3.0, 1.0], [2.0, 1.0], [0.0, -1.0]])
    relax = np.array([1.0, 1.0, 0.7, 0.6, 1.0])
    assert aitken(relax, before, step) == pytest.approx([1.0, 0.05, 0.7, 0.6, 0.5])
    assert relax.tolist() == [1.0, 1.0, 0.7, 0.6, 1.0]


def stepping(
    network: Network, scale: float, times: int = 1
) -> tuple[LineLosses, Array, Array, Array, Array]:
    """Losses; flows; a step this many times Newton's; heads lost in all, and in tees."""
    losses = LineLosses(network, Cases(speed=np.tile([0.7, 1.0, 1.3], times)), exact=False)
    flows = initial_flows(losses)
    loss, slope = losses.lines(flows)
    tees = losses.tees(flows)
    step = scale * (linearized_flows(losses, flows, loss + tees, slope) - flows)
    return losses, flows, step, loss + tees, tees


@pytest.mark.parametrize("network", [build(job_of()), rejoining(), overboard()])
@pytest.mark.parametrize("scale", [0.5, 1.0, 4.0, 40.0])
@pytest.mark.parametrize("times", [1, 20])
def test_a_step_goes_as_far_as_the_content_falls(
    network: Network, scale: float, times: int
) -> None:
    """Its slope where the step ends is at most half of that where it began.

    Half of Newton's step leaves about half; a step many times Newton's must be cut. With few cases
    and with many.
    """
    losses, flows, step, loss, tees = stepping(network, scale, times)
    relax = np.tile([1.0, 0.3, 0.6], times)
    first = content_slope(losses, loss, step)
    assert np.all(first < 0)
    for given in (relax, np.ones_like(relax)):
        ahead, after, slope, share = advance(losses, flows, step, loss, tees, given)
        whole = share == 1
        assert np.all(share > 0)
        at_end = content_slope(losses, losses.lines(flows + step)[0] + tees, step)
        assert np.all(whole == (at_end <= 0.5 * np.abs(first)))
        if scale != 1:
            assert np.all(whole == (scale < 1))
        taken = np.where(whole, given, share)
        assert ahead == pytest.approx(flows + taken[:, None] * step)
        found = losses.lines(ahead)
        assert after == pytest.approx(found[0])
        assert slope == pytest.approx(found[1])
        end = content_slope(losses, after + tees, step)
        assert np.all(whole | (np.abs(end) <= 0.5 * np.abs(first)))


@pytest.mark.parametrize("network", [rejoining(), overboard()])
def test_at_the_answer_the_content_is_least(network: Network) -> None:
    """Along any change that balances at the joints: level there, and rising in both directions."""
    losses = LineLosses(network, Cases(tee=np.zeros(1)), exact=False)
    answer, *others = solve_flows(
        network, Cases(speed=np.array([1.0, 0.7, 1.3]), tee=np.zeros(3))
    ).line_flow
    ways = [other - answer for other in others]
    ways.append(initial_flows(losses)[0] - answer)
    for way in ways:
        at = [
            content_slope(losses, losses.lines((answer + share * way)[None, :])[0], way[None, :])
            for share in (-0.1, 0.0, 0.1)
        ]
        assert at[0] < 0 < at[2]
        assert abs(at[1]) < 1e-6 * at[2]


def test_a_shut_line_has_no_part_in_the_content_and_is_never_out_of_balance() -> None:
    network = build(job_of((2, "open", "0 %")))
    losses = LineLosses(network, Cases(), exact=False)
    head = np.array([[3.0]])
    assert content_slope(losses, head, head) == 0
    assert head_imbalance(losses, head, head, head) == 0


# When it stops


def test_out_of_balance_is_the_head_that_a_loop_misses() -> None:
    network = build(job_of())
    losses = LineLosses(network, Cases(speed=np.linspace(0.5, 1.5, 5)), exact=False)
    flows = np.full((5, 1), 2e-4)
    loss, slope = losses.lines(flows)
    step = linearized_flows(losses, flows, loss, slope) - flows
    missing = np.abs(loss - losses.sea)[:, 0]
    assert np.all(missing > 0.01)
    assert head_imbalance(losses, flows, step, slope) == pytest.approx(missing)


@pytest.mark.parametrize(
    ("flow", "step", "missing"),
    [
        (0.0, -1.0, 0.0),  # held back, however hard
        (-1e-14, -0.5, 0.0),
        (-1e-14, 1e-14, 0.0),
        (-1e-14, 1.0, 2.0),  # it would flow
        (1e-4, -2e-4, 4e-4),  # it does flow
        (-1e-4, -1e-6, 2e-6),  # far behind the wall, which no answer is
    ],
)
def test_a_line_behind_a_wall_is_in_balance_while_it_is_held(
    flow: float, step: float, missing: float
) -> None:
    network = overboard()
    losses = LineLosses(network, Cases(), exact=False)
    assert losses.one_way.tolist() == [True, True, False]
    flows, steps, slopes = np.full((1, 3), 1e-4), np.zeros((1, 3)), np.full((1, 3), 2.0)
    flows[0, 1], steps[0, 1] = flow, step
    assert head_imbalance(losses, flows, steps, slopes) == pytest.approx([missing])


def test_what_is_out_of_balance_when_the_steps_run_out_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Starts with known head residuals, and a single iteration: converged is within 1e-8 m."""
    network = build(job_of()).full
    answer = solve_flows(network).line_flow
    _, slope = LineLosses(network, Cases(), exact=False).lines(answer)
    missing = np.array([0.0, 5e-9, 2e-8, 1e-3])
    monkeypatch.setattr("loop.hydraulics.newton_steps._STEPS", 1)
    found = solve_flows(network, Cases(speed=np.ones(4)), start=answer + missing[:, None] / slope)
    assert found.residual == pytest.approx(missing, rel=1e-3, abs=1e-9)
    assert found.settled.tolist() == [True, True, False, False]


def test_from_an_answer_a_line_behind_a_wall_is_not_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """A branch whose outlet is higher than the pump lifts: it stays at rest after one iteration."""
    network, slow = overboard().full, Cases(speed=np.array([0.2]))
    answer = solve_flows(network, slow)
    assert (answer.line_flow == 0).tolist() == [[False, True, False]]
    assert answer.settled.all()
    monkeypatch.setattr("loop.hydraulics.newton_steps._STEPS", 2)
    again = solve_flows(network, slow, start=answer.line_flow)
    assert again.settled.all()
    assert again.line_flow == pytest.approx(answer.line_flow, rel=1e-6)
