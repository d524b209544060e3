"""Losses of lines: slopes are their change with flow; pumps follow the affinity laws."""

from collections.abc import Callable

import numpy as np
import pytest

from loop.curve import FLOW_GRID, Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.lines import LineLosses, initial_flows, pump_head, shutoff_head
from loop.job import Fitted, Job
from tests.loops import job_of
from tests.test_balance import many
from tests.test_network import overboard, rejoining

SPEED = np.array([1.0, 0.5, 1.2])


def fitted(job: Job, **factors: float) -> Job:
    return job.model_copy(update={"fitted": Fitted(**factors)})


def series() -> Network:
    return build(job_of())


def several() -> Network:
    return build(many(4))


# Pump


def test_affinity_laws() -> None:
    """Half the speed: half the flow, a quarter of the head, half the slope."""
    network = series()
    curve = network.pump.curve
    flow = 2e-4
    head, slope = pump_head(network, Cases(speed=SPEED), flow * SPEED)
    assert head == pytest.approx(float(curve.head(flow)) * SPEED**2)
    assert slope == pytest.approx(slope[0] * SPEED)
    assert shutoff_head(network, Cases(speed=SPEED)) == pytest.approx(curve.shutoff_head * SPEED**2)
    assert shutoff_head(network)[0] == pytest.approx(curve.shutoff_head)
    # Backwards it holds its shut-off head.
    assert pump_head(network, Cases(), np.array([-1e-4]))[0] == pytest.approx(curve.shutoff_head)


def test_pumps_beside_and_behind_each_other_and_worn_ones() -> None:
    curve = series().pump.curve
    flow = 2e-4
    head = float(curve.head(flow))
    beside = build(job_of((6, "count", 3)))
    assert pump_head(beside, Cases(), np.array([3 * flow]))[0] == pytest.approx(head)
    behind = build(job_of((6, "count", 3), (6, "arrangement", "series")))
    assert pump_head(behind, Cases(), np.array([flow]))[0] == pytest.approx(3 * head)
    both = Cases(pump_flow=np.array([0.9, 1.0]), pump_head=np.array([1.0, 0.8]))
    assert pump_head(series(), both, flow * np.array([0.9, 1.0]))[0] == pytest.approx(
        [head, 0.8 * head]
    )
    slow = build(fitted(job_of(), pump=0.9))
    assert pump_head(slow, Cases(), np.array([0.9 * flow]))[0] == pytest.approx(0.81 * head)


# Lines


def losses_at(network: Network, flow: Array, exact: bool = False, **factors: Array) -> Array:
    cases = Cases(**{"speed": np.ones(len(flow)), **factors})
    flows = np.repeat(flow[:, None], len(network.lines), axis=1)
    return LineLosses(network, cases, exact).lines(flows)[0]


@pytest.mark.parametrize("make", [series, rejoining, overboard])
def test_the_slope_is_the_change_of_loss_with_flow(make: Callable[[], Network]) -> None:
    """By differences of one millionth, from a drip to a flood, and backwards where possible."""
    network = make()
    flow = np.array([3e-9, 1e-7, 3e-6, 2.2e-5, 1.1e-4, 3.3e-4, 7.7e-4])
    flow = np.concatenate([-flow[::-1], flow])
    losses = LineLosses(network, Cases(speed=np.ones(len(flow))), exact=False)

    def at(shift: float) -> Array:
        moved = flow * (1 + shift)
        return losses.lines(np.repeat(moved[:, None], len(network.lines), axis=1))[0]

    slope = losses.lines(np.repeat(flow[:, None], len(network.lines), axis=1))[1]
    change = (at(1e-6) - at(-1e-6)) / (2e-6 * flow[:, None])
    assert slope == pytest.approx(change, rel=1e-3)
    assert np.all(slope > 0)


def test_a_line_loses_the_same_backwards_unless_nothing_may_come_back() -> None:
    network = overboard()
    flow = np.array([1e-7, 1e-4, 5e-4])
    there, back = losses_at(network, flow), losses_at(network, -flow)
    assert [line.one_way for line in network.lines] == [True, True, False]
    assert back[:, 2] == pytest.approx(-there[:, 2])
    # A wall: 1 mm³/s would take 1e8 m of head.
    assert np.all(back[:, :2] < -1e9 * flow[:, None])


@pytest.mark.parametrize("exact", [True, False])
def test_a_lines_loss_is_its_parts_losses(exact: bool) -> None:
    network = rejoining()
    flow = np.array([2e-5, 1e-4, 5e-4])
    found = losses_at(network, flow, exact)
    for number, line in enumerate(network.lines):
        for row, q in enumerate(flow):
            lost = sum(network.head_loss(i, float(q)) for i in line.parts)
            if number == network.pump_line:
                lost -= float(network.pump.curve.head_curve.extended(q))
            assert found[row, number] == pytest.approx(lost, rel=2e-3, abs=1e-9)


@pytest.mark.parametrize("exact", [True, False])
def test_factors_multiply_the_losses_of_their_parts(exact: bool) -> None:
    network = overboard()
    loss = np.ones((2, len(network.parts)))
    loss[1, list(network.lines[2].parts)] = 3.0
    flow = np.array([1e-4, 1e-4])
    plain, more = losses_at(network, flow, exact, loss=loss)
    assert more == pytest.approx(plain * np.array([1.0, 1.0, 3.0]))
    # And those fitted to a boat's readings multiply every loss.
    dirty = build(fitted(network.job, loss=1.5))
    assert losses_at(dirty, flow, exact)[0, 1:] == pytest.approx(1.5 * plain[1:])


@pytest.mark.parametrize("make", [rejoining, overboard, several])
def test_slopes_of_tees_are_their_change_with_each_lines_flow(make: Callable[[], Network]) -> None:
    """By differences, one line at a time, scaled by the cases' factor."""
    network = make()
    cases = Cases(tee=np.array([1.0, 0.5]))
    losses = LineLosses(network, cases, exact=False)
    flows = 1e-4 * np.linspace(1.03, 2.11, 2 * len(network.lines)).reshape(2, -1)
    slopes = losses.tee_slopes(flows)
    for line in range(len(network.lines)):
        shift = np.zeros(len(network.lines))
        shift[line] = 1e-9
        change = (losses.tees(flows + shift) - losses.tees(flows - shift)) / 2e-9
        assert slopes[:, :, line] == pytest.approx(change, rel=1e-4, abs=1e-2)
    assert slopes.any()


def test_below_the_grid_loss_goes_with_the_flow_itself() -> None:
    network = overboard()
    least = float(FLOW_GRID[0])
    found = losses_at(network, least * np.array([1.0, 0.5, 0.1, 0.0]))[:, 2]
    assert found == pytest.approx(found[0] * np.array([1.0, 0.5, 0.1, 0.0]), rel=1e-6)


# Which lines are open, and where a search starts


def test_a_first_guess_balances_at_the_joints_and_stands_in_shut_lines() -> None:
    for network in (series(), rejoining(), overboard()):
        losses = LineLosses(network, Cases(speed=SPEED), exact=False)
        flows = initial_flows(losses)
        assert flows.shape == (3, len(network.lines))
        for joint in range(network.joints):
            into = sum(flows[:, i] for i, line in enumerate(network.lines) if line.end == joint)
            out = sum(flows[:, i] for i, line in enumerate(network.lines) if line.start == joint)
            assert into == pytest.approx(out)
        # Half of the curve's last flow through the pump.
        assert flows[:, network.pump_line] == pytest.approx(network.pump.curve.last_flow / 2)
        assert np.all(flows > 0)


def test_a_pump_that_cannot_lift_to_the_lowest_outlet_is_at_rest() -> None:
    """Outlets at 0.3 m and under water: the lowest outlet is at sea level."""
    network = overboard().full
    shutoff = float(shutoff_head(network)[0])
    for extra, rests in ((-shutoff - 1e-6, True), (-shutoff + 1e-6, False), (0.0, False)):
        cases = Cases(extra_head=np.array([extra]))
        assert LineLosses(network, cases, exact=False).pump_stalls[0] == rests
        assert solve_flows(network, cases).line_flow.any() == (not rests)
    high = build(job_of((10, "to", "4 ft"), (11, "height", "4 ft")))
    lift = 4 * 0.3048
    for share, rests in ((0.999, True), (1.001, False)):
        speed = np.sqrt(share * lift / float(shutoff_head(high)[0]))
        assert LineLosses(high, Cases(speed=np.array([speed])), False).pump_stalls[0] == rests
