"""Resistance of a network's lines, or of pieces of them, from the tables of their parts."""

import copy
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, GridPlace, place, resistance, rise_by_log
from loop.hydraulics.cases import Cases
from loop.hydraulics.network import Network

# Up to this many cases, all groups are evaluated at once, with a tenth of the calls; for more, each
# group separately, which reads whole table rows and is several times faster.
_FEW = 64


class Resistances:
    """Resistances of groups of parts, each group at its own flow, for one set of cases.

    Parameters
    ----------
    table : array, shape (nodes, columns)
        Resistances on the flow grid.
    groups : list of list of int
        The columns of each group.
    loss : array, shape (n, columns), optional
        Factor on each column's loss in each case; 1 if omitted.
    """

    def __init__(self, table: Array, groups: list[list[int]], loss: Array | None = None) -> None:
        self._table, self._groups, self._loss = table, groups, loss
        self._group_of = np.zeros(table.shape[1], dtype=np.intp)
        for number, columns in enumerate(groups):
            self._group_of[columns] = number

    @classmethod
    def of_lines(cls, network: Network, cases: Cases) -> "Resistances":
        """Those of every line of a network."""
        loss = cls._factors(network, cases)
        if loss is None:
            # Without factors, the parts of a line can be summed beforehand.
            return cls(network.line_tables, [[number] for number in range(len(network.lines))])
        return cls(network.tables, [list(line.parts) for line in network.lines], loss)

    @classmethod
    def of_shares(
        cls, network: Network, cases: Cases, shares: Sequence[Sequence[tuple[int, float]]]
    ) -> "Resistances":
        """Those of groups of part shares, each given as (part, share of its loss)."""
        columns = [pair for group in shares for pair in group]
        parts = [part for part, _ in columns]
        ends = np.cumsum([0, *map(len, shares)]).tolist()
        loss = cls._factors(network, cases)
        table = network.tables[:, parts] * np.array([share for _, share in columns])
        groups = [list(range(start, end)) for start, end in pairwise(ends)]
        if loss is None:
            table = np.stack([table[:, at].sum(axis=1) for at in groups], axis=1)
            return cls(table, [[number] for number in range(len(groups))])
        return cls(table, groups, loss[:, parts])

    @staticmethod
    def _factors(network: Network, cases: Cases) -> Array | None:
        if cases.loss is None:
            return None
        return np.broadcast_to(cases.loss, (cases.count, len(network.parts)))

    def of(self, rows: NDArray[np.bool_] | NDArray[np.intp]) -> "Resistances":
        """The resistances for some of the cases: `rows` are indices or a mask."""
        if self._loss is None:
            return self
        part = copy.copy(self)
        part._loss = self._loss[rows]
        part.__dict__.pop("_by_group", None)
        return part

    def factor(self, case: int, column: int) -> float:
        """Factor on a column's loss in a case."""
        return 1.0 if self._loss is None else float(self._loss[case, column])

    def __call__(self, size: Array) -> tuple[Array, Array]:
        """Resistance [s²/m⁵] at these flows [m³/s], and its derivative by the log of flow.

        Each of shape (n, groups).
        """
        return self._at_once(size) if len(size) <= _FEW else self._one_by_one(size)

    def _at_once(self, size: Array) -> tuple[Array, Array]:
        at = place(size)
        columns = self._table.shape[1]
        node = at.node[:, self._group_of] * columns + np.arange(columns)
        below, above = self._table.take(node), self._table.take(node + columns)
        if self._loss is not None:
            below, above = (below * self._loss) @ self._on, (above * self._loss) @ self._on
        step = above - below
        return below + step * at.share, rise_by_log(step)

    def _one_by_one(self, size: Array) -> tuple[Array, Array]:
        at = place(size)
        value, rise = np.empty_like(size), np.empty_like(size)
        for number, (table, weight) in enumerate(self._by_group):
            here = GridPlace(at.node[:, number], at.share[:, number])
            value[:, number], rise[:, number] = resistance(table, here, weight)
        return value, rise

    @cached_property
    def _on(self) -> Array:
        """1 where a column is in a group, shape (columns, groups)."""
        on = np.zeros((self._table.shape[1], len(self._groups)))
        for number, columns in enumerate(self._groups):
            on[columns, number] = 1.0
        return on

    @cached_property
    def _by_group(self) -> list[tuple[Array, Array | None]]:
        """Table and weights of each group's columns."""
        return [
            (
                np.ascontiguousarray(self._table[:, columns]),
                None if self._loss is None else self._loss[:, columns],
            )
            for columns in map(_together, self._groups)
        ]


def _together(columns: list[int]) -> list[int] | slice:
    """Consecutive columns as a slice, which avoids a copy."""
    first, last = columns[0], columns[-1]
    return slice(first, last + 1) if columns == list(range(first, last + 1)) else columns
