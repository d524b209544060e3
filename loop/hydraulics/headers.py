"""Head loss in the tees of a header, which depends on the flow split.

A header with n branches is n − 1 tees in a row. At each, a branch turns off and the rest runs on;
the last branch is the end of the run. Where branches rejoin, the return header mirrors this: the
first branch to leave is the last to return.
"""

import copy
import math
from collections.abc import Sequence
from functools import lru_cache

import fluids
import numpy as np

from loop.curve import Array, IntArray
from loop.parts.friction import GRAVITY
from loop.records import dataclass

_SPLITS = np.linspace(0.0, 1.0, 101)
# Width in split over which two pieces of a relation are joined: the spacing of the table.
BLEND_WIDTH = 0.01


@dataclass(frozen=True)
class Tee:
    """One tee of a header; coefficients on the velocity of the combined flow, in the header.

    Notes
    -----
    Crane TP-410 (2009 edition on), chapter 2, as in ``fluids.K_branch_diverging_Crane``,
    ``K_run_diverging_Crane``, ``K_branch_converging_Crane`` and ``K_run_converging_Crane``. The
    relations hold for splits from 0 to 1 of the combined flow. Outside, where a branch flows
    backwards, the coefficient is held at the nearer end of that range; where the combined flow is
    reversed or zero, the tee's loss is zero. The result stays finite and continuous, and is an
    estimate there. The branch relations have two pieces that differ by 2 to 6 % where they should
    meet, at a split of 0.4 or 0.6; a straight line joins them over the next hundredth of split,
    since a network might have no balance in a gap.
    """

    header: float
    branch: float
    angle: float
    converging: bool

    def coefficients(self, split: float) -> tuple[float, float]:
        """K of the branch and of the run, at the branch's share of the combined flow, 0 to 1.

        >>> tee = Tee(header=0.1, branch=0.1, angle=90.0, converging=True)
        >>> [round(k, 3) for k in tee.coefficients(0.25)]
        [-0.042, 0.325]
        """
        split = min(max(split, 0.0), 1.0)
        run = fluids.K_run_converging_Crane if self.converging else fluids.K_run_diverging_Crane
        k_run = float(run(self.header, self.branch, 1.0 - split, split, self.angle))
        past = (split - self.gap) / BLEND_WIDTH
        if 0 < past < 1:
            low, high = (
                self._branch_coefficient(self.gap),
                self._branch_coefficient(self.gap + BLEND_WIDTH),
            )
            return low + past * (high - low), k_run
        return self._branch_coefficient(split), k_run

    @property
    def gap(self) -> float:
        """Split at which the branch relation jumps to its second piece; infinite if it has none."""
        slim = (self.branch / self.header) ** 2 <= 0.35
        if self.converging:
            return math.inf if slim else 0.4
        if self.angle >= 75:
            return math.inf
        return 0.4 if slim else 0.6

    def _branch_coefficient(self, split: float) -> float:
        arguments = (self.header, self.branch, 1.0 - split, split, self.angle)
        if self.converging:
            return float(fluids.K_branch_converging_Crane(*arguments))
        return float(fluids.K_branch_diverging_Crane(*arguments))


@dataclass(frozen=True)
class Header:
    """A header's bore [m], its branch bores [m] in flow order, and their angle [deg]."""

    bore: float
    bores: tuple[float, ...]
    angle: float
    converging: bool

    @property
    def tees(self) -> tuple[Tee, ...]:
        """One tee for each branch but the last, which is the end of the run.

        Bores are rounded to whole nanometers: the relations change where one bore is 2/3 of the
        other, as 1/2 in is of 3/4 in, and float rounding must not decide on which side that falls.
        """
        run, *bores = (round(bore, 9) for bore in (self.bore, *self.bores[:-1]))
        return tuple(Tee(run, bore, self.angle, self.converging) for bore in bores)


class Headers:
    """The tees of several headers, evaluated together.

    Arrays of flows and losses have shape (n, headers, branches), padded to the header with the most
    branches. Beyond a header's last branch flows are 0 and losses meaningless.
    """

    def __init__(self, headers: Sequence[Header]) -> None:
        self.headers = tuple(headers)
        self.branches = max(len(header.bores) for header in headers)
        tees = self.branches - 1
        tables = np.zeros((len(headers), tees, 2, len(_SPLITS)))
        for number, header in enumerate(headers):
            for place, tee in enumerate(header.tees):
                tables[number, place] = _coefficient_table(tee)
        # Value and slope of K (branch, run) in each cell of split, (4, cells) per tee.
        cells = len(_SPLITS) - 1
        low, rise = tables[..., :-1], np.diff(tables) * cells
        self._levels = np.concatenate([low, rise], axis=2).transpose(2, 1, 0, 3).reshape(4, -1)
        self._first_cell = (np.arange(tees * len(headers)) * cells).reshape(tees, len(headers), 1)
        # Velocity head in each header over the square of its flow [s²/m⁵].
        bores = np.array([header.bore for header in headers])
        self._velocity_head = (1 / (2 * GRAVITY * (np.pi / 4 * bores**2) ** 2))[:, None]
        self._own_branch = np.eye(tees, self.branches)
        self._later_branches = np.triu(np.ones((tees, self.branches)), 1)

    @staticmethod
    def of_cases(every: Sequence["Headers"], index: IntArray) -> "Headers":
        """Of these headers, which differ in bores alone, those of each of n cases, for tables."""
        found = copy.copy(every[0])
        found._levels = np.concatenate([one._levels for one in every], axis=1)
        found._first_cell = every[0]._first_cell + index * every[0]._levels.shape[1]
        heads = np.concatenate([one._velocity_head for one in every], axis=1)
        found._velocity_head = heads.take(index, axis=1)
        return found

    def subset(self, rows: IntArray) -> "Headers":
        """Those of some of the cases, by their indices."""
        found = copy.copy(self)
        found._first_cell = self._first_cell.take(rows, axis=2)
        found._velocity_head = self._velocity_head.take(rows, axis=1)
        return found

    def losses(self, flows: Array, exact: bool) -> Array:
        """Head loss [m] between a header's joint and each branch, at the branch flows.

        The run loss of each tee that the water passes, plus the branch loss where it turns off.
        `exact` evaluates the relations at each split instead of a table in hundredths.
        """
        split, combined = self._splits(flows)
        k_branch, k_run = (
            self._exact_coefficients(split) if exact else self._tabulated_coefficients(split)[:2]
        )
        head = self._velocity_head * combined**2
        lost = np.zeros((self.branches, *head.shape[1:]))
        lost[:-1] = k_branch * head
        lost[1:] += (k_run * head).cumsum(axis=0)
        return lost.T

    def slopes(self, flows: Array) -> Array:
        """Derivative of `losses` (third axis) by each branch's flow (fourth axis) [s/m²]."""
        split, combined = self._splits(flows)
        k_branch, k_run, k_branch_slope, k_run_slope = self._tabulated_coefficients(split)
        slopes = np.zeros((*flows.shape, self.branches))
        slopes[..., :-1, :] = self._slopes_by_flow(k_branch, k_branch_slope, split, combined)
        slopes[..., 1:, :] += np.cumsum(
            self._slopes_by_flow(k_run, k_run_slope, split, combined), axis=-2
        )
        return slopes

    # Below, arrays have shape (tees, headers, n): sums over a header's tees are then quick.

    def _splits(self, flows: Array) -> tuple[Array, Array]:
        """Branch share of each tee, and the flow arriving at the tee, at least 0."""
        branch = np.ascontiguousarray(flows.T)
        combined = np.maximum(branch[::-1].cumsum(axis=0)[:0:-1], 0.0)
        split = np.zeros_like(combined)
        np.divide(branch[:-1], combined, out=split, where=combined > 0)
        return split, combined

    def _exact_coefficients(self, split: Array) -> tuple[Array, Array]:
        """K of branch and run from the relations themselves."""
        k_branch, k_run = np.zeros_like(split), np.zeros_like(split)
        for number, header in enumerate(self.headers):
            for place, tee in enumerate(header.tees):
                for row, share in enumerate(split[place, number]):
                    found = tee.coefficients(float(share))
                    k_branch[place, number, row], k_run[place, number, row] = found
        return k_branch, k_run

    def _tabulated_coefficients(self, split: Array) -> tuple[Array, Array, Array, Array]:
        """K of branch and run from the table, and their derivatives by split inside its range."""
        cells = len(_SPLITS) - 1
        share = np.minimum(np.maximum(split, 0.0), 1.0)
        cell = np.minimum((share * cells).astype(np.intp), cells - 1)
        k_branch, k_run, k_branch_slope, k_run_slope = self._levels.take(
            self._first_cell + cell, axis=1
        )
        past = share - _SPLITS.take(cell)
        return (
            k_branch + k_branch_slope * past,
            k_run + k_run_slope * past,
            k_branch_slope,
            k_run_slope,
        )

    def _slopes_by_flow(self, level: Array, rise: Array, split: Array, combined: Array) -> Array:
        """Derivative of one loss at each tee (third axis) by each branch's flow (fourth)."""
        # Outside the valid range the coefficient is constant.
        share, rise = np.clip(split, 0.0, 1.0), rise * ((split >= 0) & (split <= 1))
        head = self._velocity_head * combined
        own, beyond = head * (2 * level + rise * (1 - share)), head * (2 * level - rise * share)
        return own.T[..., None] * self._own_branch + beyond.T[..., None] * self._later_branches


@lru_cache(maxsize=1024)
def _coefficient_table(tee: Tee) -> Array:
    """K of branch and run at every hundredth of the split, shape (2, splits)."""
    return np.array([tee.coefficients(float(split)) for split in _SPLITS]).T
