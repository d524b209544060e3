"""Head lost in a manifold's tees, which depends on how the flow splits.

A header with n branches is n − 1 tees in a row: at each the branch turns off and the rest runs on,
and the last branch is the end of the run. Where branches rejoin, the return header is the same in
reverse: the first branch to leave is the last to come back.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import fluids
import numpy as np

from loop.curve import Array
from loop.hydraulics.network import Fork
from loop.parts.friction import GRAVITY

_SPLITS = np.linspace(0.0, 1.0, 101)
# Split over which two pieces of a relation that miss each other are joined: as wide as the table's.
JOINED = 0.01


@dataclass(frozen=True)
class Tee:
    """One tee of a header; coefficients on the velocity of the combined flow, in the header.

    Notes
    -----
    Crane TP-410 (2009 edition on), chapter 2, as in ``fluids.K_branch_diverging_Crane``,
    ``K_run_diverging_Crane``, ``K_branch_converging_Crane`` and ``K_run_converging_Crane``. The
    relations hold for splits from 0 to 1 of the combined flow. Outside, where a branch flows
    backwards, the coefficient is held at the nearer end of that range, and where the combined flow
    itself is reversed or nothing flows the tee's loss is zero: the answer stays finite and
    continuous, and is an estimate there. The branch's relations are in two pieces that miss each
    other by 2 to 6 % where they should meet, at a split of 0.4 or 0.6; a straight line joins them
    over the hundredth that follows, since in a gap no flow might balance.
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
        along = float(run(self.header, self.branch, 1.0 - split, split, self.angle))
        past = (split - self.gap) / JOINED
        if 0 < past < 1:
            low, high = self._branch(self.gap), self._branch(self.gap + JOINED)
            return low + past * (high - low), along
        return self._branch(split), along

    @property
    def gap(self) -> float:
        """Split at which the branch's relation steps to its second piece; infinite for none."""
        slim = (self.branch / self.header) ** 2 <= 0.35
        if self.converging:
            return math.inf if slim else 0.4
        if self.angle >= 75:
            return math.inf
        return 0.4 if slim else 0.6

    def _branch(self, split: float) -> float:
        ways = (self.header, self.branch, 1.0 - split, split, self.angle)
        if self.converging:
            return float(fluids.K_branch_converging_Crane(*ways))
        return float(fluids.K_branch_diverging_Crane(*ways))


class Header:
    """The tees of one header, as the water meets them on its way out."""

    def __init__(self, bore: float, bores: Sequence[float], angle: float, converging: bool) -> None:
        self.tees = [Tee(bore, branch, angle, converging) for branch in bores[:-1]]
        tables = np.array([_table(tee) for tee in self.tees]).reshape(-1, 2, len(_SPLITS))
        self._tables = np.ascontiguousarray(tables.transpose(1, 0, 2))
        # Velocity head of the header's flow, over the square of the flow [s²/m⁵].
        self._velocity_head = 1 / (2 * GRAVITY * (np.pi / 4 * bore**2) ** 2)
        self._tee = np.arange(len(self.tees))
        self._own = np.eye(len(self.tees), len(bores))
        self._beyond = np.triu(np.ones_like(self._own), 1)

    def losses(self, flows: Array, exact: bool) -> Array:
        """Head lost [m] between the header's joint and each branch, at branch flows (n, branches).

        At each tee that the water passes the run's, and at the last the branch's own.
        """
        split, combined = self._splits(flows)
        if exact:
            into, along = np.zeros_like(split), np.zeros_like(split)
            for number, tee in enumerate(self.tees):
                for row, share in enumerate(split[:, number]):
                    into[row, number], along[row, number] = tee.coefficients(float(share))
        else:
            (into, along), _ = self._coefficients(split)
        head = self._velocity_head * combined**2
        lost = np.zeros_like(flows)
        lost[:, :-1] = into * head
        lost[:, 1:] += np.cumsum(along * head, axis=1)
        return lost

    def slopes(self, flows: Array) -> Array:
        """How `losses` (second axis) change with each branch's flow (third axis) [s/m²]."""
        split, combined = self._splits(flows)
        (into, along), (into_rise, along_rise) = self._coefficients(split)
        share = np.clip(split, 0.0, 1.0)
        slopes = np.zeros((*flows.shape, flows.shape[1]))
        slopes[:, :-1] = self._by_flow(into, into_rise, share, combined)
        slopes[:, 1:] += np.cumsum(self._by_flow(along, along_rise, share, combined), axis=1)
        return slopes

    def _splits(self, flows: Array) -> tuple[Array, Array]:
        """Share that each tee's branch takes, and the flow that comes to the tee, at least 0."""
        beyond = np.cumsum(flows[:, ::-1], axis=1)[:, ::-1]
        combined = np.maximum(beyond[:, :-1], 0.0)
        split = np.zeros_like(combined)
        np.divide(flows[:, :-1], combined, out=split, where=combined > 0)
        return split, combined

    def _coefficients(self, split: Array) -> tuple[Array, Array]:
        """K into the branch and along the run, and their rise with the split, (2, n, tees) each."""
        cells = len(_SPLITS) - 1
        share = np.clip(split, 0.0, 1.0)
        cell = np.minimum((share * cells).astype(np.intp), cells - 1)
        low = self._tables[:, self._tee, cell]
        rise = (self._tables[:, self._tee, cell + 1] - low) * cells
        level = low + rise * (share - _SPLITS[cell])
        # Outside the relations' range the coefficient is held.
        return level, np.where((split >= 0) & (split <= 1), rise, 0.0)

    def _by_flow(self, level: Array, rise: Array, share: Array, combined: Array) -> Array:
        """Change of one loss at each tee with each branch's flow, (n, tees, branches)."""
        own = self._velocity_head * combined * (2 * level + rise * (1 - share))
        beyond = self._velocity_head * combined * (2 * level - rise * share)
        return own[..., None] * self._own + beyond[..., None] * self._beyond


@lru_cache(maxsize=256)
def _headers(fork: Fork) -> tuple[Header, Header]:
    """The header on which the branches leave, and the one on which they come back."""
    angle = float(np.degrees(fork.angle))
    back = [fork.back_bores[branch] for branch in fork.rejoining[0]] or [fork.header_bore]
    return (
        Header(fork.header_bore, fork.bores, angle, False),
        Header(fork.header_bore, back, angle, True),
    )


def header_losses(fork: Fork, flows: Array, exact: bool = False) -> tuple[Array, Array]:
    """Head lost between the joint and each branch, on leaving and on coming back.

    Parameters
    ----------
    fork : Fork
    flows : array, shape (n, lines)
        Flow of every line of the network [m³/s].
    exact : bool
        Ask the relation itself at each split, rather than a table of it at hundredths.

    Returns
    -------
    leaving, returning : array, shape (n, branches)
        Head lost [m], negative where the faster stream pulls the slower along; the second is 0
        for a branch that ends overboard.
    """
    out, back = _headers(fork)
    leaving = out.losses(flows[:, list(fork.first)], exact)
    returning = np.zeros_like(leaving)
    branches, lines = fork.rejoining
    if branches:
        returning[:, branches] = back.losses(flows[:, lines], exact)
    return leaving, returning


def header_slopes(fork: Fork, flows: Array) -> tuple[Array, Array]:
    """How `header_losses` change with the flows of the branches [s/m²].

    Returns
    -------
    leaving, returning : array, shape (n, branches, branches)
        Change of the head lost to a branch (second axis) with the flow of one (third axis).
    """
    out, back = _headers(fork)
    leaving = out.slopes(flows[:, list(fork.first)])
    returning = np.zeros_like(leaving)
    branches, lines = fork.rejoining
    if branches:
        slopes = back.slopes(flows[:, lines])
        for number, branch in enumerate(branches):
            returning[:, branch, branches] = slopes[:, number]
    return leaving, returning


@lru_cache(maxsize=1024)
def _table(tee: Tee) -> tuple[Array, Array]:
    """K of the branch and of the run at every hundredth of the split."""
    both = np.array([tee.coefficients(float(split)) for split in _SPLITS])
    return both[:, 0], both[:, 1]
