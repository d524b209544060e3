"""Head lost in a manifold's tees, which depends on how the flow splits.

A header with n branches is n − 1 tees in a row: at each the branch turns off and the rest runs on,
and the last branch is the end of the run. Where branches rejoin, the return header is the same in
reverse: the first branch to leave is the last to come back.
"""

from dataclasses import dataclass
from functools import lru_cache

import fluids
import numpy as np

from loop.curve import Array
from loop.hydraulics.network import Fork
from loop.parts.friction import GRAVITY

_SPLITS = np.linspace(0.0, 1.0, 101)


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
    continuous, and is an estimate there.
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
        ways = (self.header, self.branch, 1.0 - split, split, self.angle)
        if self.converging:
            return (
                float(fluids.K_branch_converging_Crane(*ways)),
                float(fluids.K_run_converging_Crane(*ways)),
            )
        return (
            float(fluids.K_branch_diverging_Crane(*ways)),
            float(fluids.K_run_diverging_Crane(*ways)),
        )

    def head_loss(self, split: Array, combined: Array, exact: bool) -> tuple[Array, Array]:
        """Head lost [m] into the branch and along the run, at combined flow [m³/s], shape (n,)."""
        area = np.pi / 4 * self.header**2
        head = np.maximum(combined, 0.0) ** 2 / (2 * GRAVITY * area**2)
        share = np.clip(split, 0.0, 1.0)
        if exact:
            both = np.array([self.coefficients(float(s)) for s in share])
            return both[:, 0] * head, both[:, 1] * head
        table = _table(self)
        return (
            np.interp(share, _SPLITS, table[0]) * head,
            np.interp(share, _SPLITS, table[1]) * head,
        )


@lru_cache(maxsize=1024)
def _table(tee: Tee) -> tuple[Array, Array]:
    both = np.array([tee.coefficients(float(split)) for split in _SPLITS])
    return both[:, 0], both[:, 1]


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
    leaving = _along(fork, flows[:, list(fork.first)], range(len(fork.first)), False, exact)
    returning = np.zeros_like(leaving)
    back = [i for i, line in enumerate(fork.last) if line is not None]
    if back:
        lines = [line for line in fork.last if line is not None]
        returning[:, back] = _along(fork, flows[:, lines], back, True, exact)
    return leaving, returning


def _along(
    fork: Fork, branch_flows: Array, which: "range | list[int]", converging: bool, exact: bool
) -> Array:
    """Losses along one header: at each tee the branch's own, and the run's for all beyond it."""
    count = branch_flows.shape[1]
    beyond = np.cumsum(branch_flows[:, ::-1], axis=1)[:, ::-1]
    lost = np.zeros_like(branch_flows)
    run = np.zeros(len(branch_flows))
    bores = fork.back_bores if converging else fork.bores
    for i in range(count - 1):
        tee = Tee(fork.header_bore, bores[which[i]], float(np.degrees(fork.angle)), converging)
        combined = beyond[:, i]
        split = np.divide(
            branch_flows[:, i],
            combined,
            out=np.zeros_like(combined),
            where=combined > 0,
        )
        into, along = tee.head_loss(split, combined, exact)
        lost[:, i] = run + into
        run = run + along
    lost[:, count - 1] = run
    return lost
