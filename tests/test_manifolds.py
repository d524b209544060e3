"""A header's tees by hand: which losses add up on the way to each branch, and their slopes."""

import fluids
import numpy as np
import pytest

from loop.curve import Array
from loop.hydraulics.headers import Header, Tee
from loop.hydraulics.manifolds import manifolds
from loop.hydraulics.network import Fork
from loop.parts.friction import GRAVITY

HEADER, BRANCH = 0.025, 0.02


def fork(last: tuple[int | None, ...], angle: float = np.pi / 2) -> Fork:
    """Lines 0, 1, 2 leave a header; the argument says which rejoin."""
    count = len(last)
    return Fork(
        manifold=0,
        split=0,
        join=1,
        names=tuple("abc"[:count]),
        first=tuple(range(count)),
        last=last,
        header_bore=HEADER,
        bores=(BRANCH,) * count,
        back_bores=(0.8 * BRANCH,) * count,
        angle=angle,
    )


def losses(fork: Fork, flows: Array, exact: bool) -> tuple[Array, Array]:
    return manifolds((fork,), flows.shape[1]).losses(flows, exact)


def head(flow: float) -> float:
    return (flow / (np.pi / 4 * HEADER**2)) ** 2 / (2 * GRAVITY)


def crane(name: str, branch: float, split: float, angle: float = 90.0) -> float:
    relation = getattr(fluids, f"K_{name}_Crane")
    return float(relation(HEADER, branch, 1 - split, split, angle))


FLOWS = np.array([[1e-4, 1.2e-4, 1.8e-4]])


@pytest.mark.parametrize("degrees", [90.0, 45.0])
def test_leaving_a_header_of_three_branches_by_hand(degrees: float) -> None:
    """4e-4 arrives. At the first tee a quarter turns off; at the second 1.2 of the remaining 3.

    The first branch loses its tee's turn; the second the first's run and its own turn; the third,
    the end of the run, both runs.
    """
    leaving, returning = losses(fork((None,) * 3, np.radians(degrees)), FLOWS, exact=True)
    first, second = head(4e-4), head(3e-4)
    run = crane("run_diverging", BRANCH, 0.25, degrees) * first
    assert leaving[0] == pytest.approx(
        [
            crane("branch_diverging", BRANCH, 0.25, degrees) * first,
            run + crane("branch_diverging", BRANCH, 0.4, degrees) * second,
            run + crane("run_diverging", BRANCH, 0.4, degrees) * second,
        ]
    )
    assert not returning.any()


def test_coming_back_the_first_joins_last_and_those_overboard_not_at_all() -> None:
    """Lines 0 and 2 rejoin: 2.8e-4 together, of which 1e-4, 0.357, at the only tee."""
    leaving, returning = losses(fork((0, None, 2)), FLOWS, exact=True)
    assert leaving == pytest.approx(losses(fork((None,) * 3), FLOWS, exact=True)[0])
    split = 1 / 2.8
    assert returning[0] == pytest.approx(
        [
            crane("branch_converging", 0.8 * BRANCH, split) * head(2.8e-4),
            0.0,
            crane("run_converging", 0.8 * BRANCH, split) * head(2.8e-4),
        ]
    )


def test_the_last_digit_of_a_bore_changes_no_tee() -> None:
    """1/2 in leaves 3/4 in at exactly the ratio of 2/3 at which the relation steps."""
    inch = 0.0254
    one, other = (
        Header(bore, (0.5 * inch, 0.5 * inch), 90.0, converging=False)
        for bore in (0.01905, 0.75 * inch)
    )
    assert 0.75 * inch != 0.01905
    assert one.tees == other.tees


def test_a_single_branch_has_no_tee() -> None:
    leaving, returning = losses(fork((0,)), FLOWS[:, :1], exact=True)
    assert not leaving.any()
    assert not returning.any()


@pytest.mark.parametrize("exact", [True, False])
def test_a_tees_loss_goes_with_the_square_of_the_flow(exact: bool) -> None:
    one, twice = (losses(fork((0, 1, 2)), factor * FLOWS, exact) for factor in (1.0, 2.0))
    for small, large in zip(one, twice, strict=True):
        assert large == pytest.approx(4 * small)


@pytest.mark.parametrize("converging", [True, False])
@pytest.mark.parametrize("branch", [0.5, 0.8, 1.0])
def test_outside_the_gap_the_relation_itself_is_asked(branch: float, converging: bool) -> None:
    """Crane's pieces meet at 0.4 or 0.6; past the joining hundredth they are unchanged."""
    tee = Tee(HEADER, branch * HEADER, 90.0, converging)
    way = "converging" if converging else "diverging"
    for split in (0.0, 0.1, 0.39, 0.3999, 0.4101, 0.5, 0.5999, 0.6101, 0.9, 1.0):
        expected = (
            crane(f"branch_{way}", branch * HEADER, split),
            crane(f"run_{way}", branch * HEADER, split),
        )
        assert tee.coefficients(split) == pytest.approx(expected), split


@pytest.mark.parametrize(
    ("branch", "converging", "gap"),
    [
        (0.5, False, 0.4),  # a quarter of the header's area, below 0.35 of it
        (0.59, False, 0.4),
        (0.6, False, 0.6),  # 0.36 of it
        (1.0, False, 0.6),
        (0.6, True, 0.4),
        (1.0, True, 0.4),
    ],
)
def test_a_straight_line_joins_cranes_two_pieces(
    branch: float, converging: bool, gap: float
) -> None:
    """Branches at 45°: over the hundredth past the split at which the pieces disagree."""
    tee = Tee(HEADER, branch * HEADER, 45.0, converging)
    name = "branch_converging" if converging else "branch_diverging"

    def relation(split: float) -> float:
        return crane(name, branch * HEADER, split, 45.0)

    assert abs(relation(gap + 1e-9) / relation(gap) - 1) > 0.01
    low, high = relation(gap), relation(gap + 0.01)
    for part in (0.0, 0.25, 0.5, 1.0):
        found, _ = tee.coefficients(gap + 0.01 * part)
        assert found == pytest.approx(low + part * (high - low), rel=1e-6)
    # And nowhere else.
    other = 1.0 - gap + 0.005
    assert tee.coefficients(other)[0] == pytest.approx(relation(other))


@pytest.mark.parametrize("converging", [True, False])
@pytest.mark.parametrize("branch", [0.5, 0.59, 0.6, 1.0])
@pytest.mark.parametrize("degrees", [45.0, 74.0, 75.0, 90.0])
def test_no_coefficient_steps_anywhere(branch: float, converging: bool, degrees: float) -> None:
    """From one ten-thousandth of the split to the next: by less than 0.3 % of their range."""
    tee = Tee(HEADER, branch * HEADER, degrees, converging)
    k = np.array([tee.coefficients(float(split)) for split in np.linspace(0.3, 0.7, 4001)])
    assert np.all(np.abs(np.diff(k, axis=0)) < 0.003 * np.ptp(k, axis=0))


@pytest.mark.parametrize("last", [(None,) * 3, (0, 1, 2), (0, None, 2)])
def test_slopes_are_the_change_of_the_losses_with_each_branchs_flow(
    last: tuple[int | None, ...],
) -> None:
    """By differences, on the table that both are read from; no split is at one of its points.

    Last, branches that run backwards: one takes less than nothing, the other more than all.
    """
    flows = np.array(
        [
            [1.03e-4, 1.21e-4, 1.83e-4],
            [4.13e-4, 0.37e-4, 0.9e-4],
            [-0.51e-4, 1.21e-4, 1.83e-4],
            [3.03e-4, 1.21e-4, -0.57e-4],
            [3.03e-4, -0.57e-4, -0.34e-4],
        ]
    )
    slopes = manifolds((fork(last),), 3).slopes(flows)

    def at(branch: int, shift: float) -> tuple[Array, Array]:
        moved = flows.copy()
        moved[:, branch] += shift
        return losses(fork(last), moved, exact=False)

    for branch in range(3):
        over, under = sum(at(branch, 1e-9)), sum(at(branch, -1e-9))
        change = (over - under) / 2e-9
        assert slopes[:, :, branch] == pytest.approx(change, rel=1e-4, abs=1e-3)


def test_a_header_in_which_nothing_flows_loses_nothing() -> None:
    for flows in (np.zeros((1, 3)), -FLOWS):
        for lost in losses(fork((0, 1, 2)), flows, exact=True):
            assert np.all(lost == 0)
