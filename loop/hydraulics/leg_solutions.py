"""Solutions of a network's cases with air in given sections of its falling legs, each found once.

The iteration over those states; which sections change, and why, is in `leg_states`.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flows import Flows
from loop.records import dataclass

# Solver of cases whose `air` is given, from flows near the solution or from none.
Solve = Callable[[Cases, Array | None], Flows]
Mask = NDArray[np.bool_]
# Up to so many cases two states are solved at once: of more, calls cost little.
_SOLVED_TOGETHER = 256


@dataclass(frozen=True)
class Subset:
    """Some of the cases, by index, and their flows."""

    rows: NDArray[np.intp]
    flows: Array


class LegSolutions:
    """Solutions of n cases, kept by the sections that hold air.

    ``start`` : flows near the solution, or a solution of all cases in some state, or None.
    """

    def __init__(self, cases: Cases, solve: Solve, start: Array | Flows | None) -> None:
        self._cases, self._solve = cases, solve
        self._start, self._known = start if isinstance(start, np.ndarray) else None, list[Flows]()
        if isinstance(start, Flows):
            self._remember(start)

    def until_unchanged(self, flows: Flows, changed: Callable[[Subset, Mask], Mask]) -> Flows:
        """Iterate until no section changes state, on the cases in which one still does."""
        rows = np.arange(len(flows.line_flow))
        for _ in range(flows.air.shape[1] + 1):
            subset = Subset(rows, flows.line_flow[rows])
            air = changed(subset, flows.air[rows])
            changing = (air != flows.air[rows]).any(axis=1)
            rows, air = rows[changing], air[changing]
            if not len(rows):
                break
            flows = flows.with_rows(rows, self._solution_of_rows(air, rows, flows.line_flow[rows]))
        return flows

    def _remember(self, answer: Flows) -> None:
        """Keep a solution of all cases in some state, so that it is not solved again."""
        self._known = [*self._known, answer]

    def in_state(self, air: Mask) -> Flows:
        """The solution with air in these sections."""
        return self._solution_of_rows(air, np.arange(self._cases.count))

    def in_two_states(self, air: Mask, other: Mask) -> tuple[Flows, Flows]:
        """The solutions in two states, kept; those of few cases are solved at once."""
        n = self._cases.count
        if n > _SOLVED_TOGETHER:
            self._remember(one := self.in_state(air))
            return one, self.in_state(other)
        found = self._solution_of_rows(np.concatenate([air, other]), np.tile(np.arange(n), 2))
        one, two = found[:n], found[n:]
        self._remember(one)
        self._remember(two)
        return one, two

    def _nearest_start(self, air: Mask, rows: NDArray[np.intp]) -> Array | None:
        """Starting flows: for each case, from the known solution with the most similar state."""
        if not self._known:
            return None if self._start is None else self._start[rows]
        apart = [(known.air[rows] != air).sum(axis=1) for known in self._known]
        flows = np.stack([known.line_flow[rows] for known in self._known])
        return np.asarray(flows[np.argmin(apart, axis=0), np.arange(len(air))])

    def _solution_of_rows(
        self, air: Mask, rows: NDArray[np.intp], start: Array | None = None
    ) -> Flows:
        """The solution of some cases in these states, solved only where it is not known."""
        left = np.ones(len(rows), dtype=bool)
        found = None
        for known in self._known:
            own = left & known.settled[rows] & (known.air[rows] == air).all(axis=1)
            if own.any():
                at = np.flatnonzero(own)
                found = (found or known[rows]).with_rows(at, known[rows[at]])
                left &= ~own
        if found is not None and not left.any():
            return found
        start = self._nearest_start(air, rows) if start is None else start
        if found is None:
            return self._solve(replace(self._cases[rows], air=air), start)
        more = np.flatnonzero(left)
        near = None if start is None else start[more]
        cases = replace(self._cases[rows[more]], air=air[more])
        return found.with_rows(more, self._solve(cases, near))
