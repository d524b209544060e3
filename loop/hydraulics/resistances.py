"""Resistance of a network's lines, or of pieces of them, from the tables of their parts."""

import copy
from collections.abc import Callable
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, cell, place, rise_by_log
from loop.hydraulics.cases import CaseNetworks, Cases
from loop.hydraulics.network import Network, Shares
from loop.records import dataclass

# Up to this many cases, all groups are evaluated at once, with a tenth of the calls; where groups
# are few, up to this many numbers per group. For more, each group separately, which reads whole
# table rows and is several times faster.
_FEW_CASES, _FEW_GROUPS, _NUMBERS_PER_GROUP = 64, 24, 6000


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
    starts : array, shape (n,), optional
        Where each case has columns of its own, one for each group: the first of them.
    """

    def __init__(
        self,
        table: Array,
        groups: list[list[int]],
        loss: Array | None = None,
        starts: NDArray[np.intp] | None = None,
    ) -> None:
        self._table, self._groups, self._loss, self._starts = table, groups, loss, starts
        # Of `loss` and `starts`, where these are some of the cases.
        self._rows: NDArray[np.intp] | None = None
        self._last: _TableCells | None = None
        self._few_groups = len(groups) <= _FEW_GROUPS
        self._most_cases_at_once = max(
            _FEW_CASES, self._few_groups * _NUMBERS_PER_GROUP * len(groups) // table.shape[1]
        )
        self._group_of = np.zeros(table.shape[1], dtype=np.intp)
        for number, columns in enumerate(groups):
            self._group_of[columns] = number

    @classmethod
    def of_lines(cls, network: Network, cases: Cases) -> "Resistances":
        """Those of every line of a network."""
        if cases.networks is not None:
            return cls._of_networks(cases.networks, lambda one: one.line_tables)
        loss = cls._factors(network, cases)
        if loss is None:
            # Without factors, the parts of a line can be summed beforehand.
            return cls(network.line_tables, [[number] for number in range(len(network.lines))])
        return cls(network.tables, [list(line.parts) for line in network.lines], loss)

    @classmethod
    def of_shares(cls, network: Network, cases: Cases, shares: Shares) -> "Resistances":
        """Those of groups of part shares, each given as (part, share of its loss)."""
        if cases.networks is not None:
            return cls._of_networks(cases.networks, lambda one: one.share_tables(shares)[1])
        loss = cls._factors(network, cases)
        if loss is None:
            return cls(network.share_tables(shares)[1], [[number] for number in range(len(shares))])
        ends = np.cumsum([0, *map(len, shares)]).tolist()
        groups = [list(range(start, end)) for start, end in pairwise(ends)]
        parts = [part for group in shares for part, _ in group]
        return cls(network.share_tables(shares)[0], groups, loss[:, parts])

    @classmethod
    def _of_networks(
        cls, networks: CaseNetworks, table: Callable[[Network], Array]
    ) -> "Resistances":
        tables = [table(one) for one in networks.networks]
        columns = tables[0].shape[1]
        groups = [[number] for number in range(columns)]
        return cls(np.concatenate(tables, axis=1), groups, None, networks.index * columns)

    @staticmethod
    def _factors(network: Network, cases: Cases) -> Array | None:
        if cases.loss is None:
            return None
        return np.broadcast_to(cases.loss, (cases.count, len(network.parts)))

    def subset(self, rows: NDArray[np.intp]) -> "Resistances":
        """The same for some of the cases, by their numbers."""
        subset = copy.copy(self)
        subset._rows = rows if self._rows is None else self._rows[rows]
        subset._last = None if self._last is None else self._last.subset(rows)
        return subset

    def factor(self, case: int, column: int) -> float:
        """Factor on a column's loss in a case."""
        if self._loss is None:
            return 1.0
        return float(self._loss[case if self._rows is None else self._rows[case], column])

    def __call__(self, size: Array) -> tuple[Array, Array]:
        """Resistance [s²/m⁵] at these flows [m³/s], and its derivative by the logarithm of flow.

        Each of shape (n, groups). A case whose flows lie between the same nodes as when last asked,
        as they do near the end of a solution, is not read again.
        """
        at = place(size)
        last = self._last
        if last is None or last.node.shape != at.node.shape:
            last = self._last = _TableCells(at.node, *self._lookup(at.node, self._rows))
        elif np.count_nonzero(differ := last.node != at.node):
            (moved,) = differ.any(axis=1).nonzero()
            node = at.node[moved]
            rows = moved if self._rows is None else self._rows[moved]
            last.node[moved] = node
            last.below[moved], last.step[moved] = self._lookup(node, rows)
        return last.below + last.step * at.share, rise_by_log(last.step)

    def _lookup(self, node: NDArray[np.intp], rows: NDArray[np.intp] | None) -> tuple[Array, Array]:
        """Resistance at these nodes, and how much more it is at the next, each (n, groups)."""
        loss, columns = self._loss, self._table.shape[1]
        if self._starts is not None:
            starts = self._starts if rows is None else self._starts[rows]
            at = node * columns + (starts[:, None] + np.arange(node.shape[1]))
            below = self._table.take(at)
            return below, self._table.take(at + columns) - below
        # As at one first guess for all.
        common = self._few_groups and loss is not None and len(node) > 1 and (node == node[0]).all()
        if len(node) > self._most_cases_at_once and not common:
            return self._lookup_by_group(node, rows)
        at = (node[:1] if common else node)[:, self._group_of] * columns + np.arange(columns)
        below, above = self._table.take(at), self._table.take(at + columns)
        if loss is not None:
            loss = loss if rows is None else loss[rows]
            if common:
                below, above = (loss @ (row.T * self._membership) for row in (below, above))
            else:
                below, above = (below * loss) @ self._membership, (above * loss) @ self._membership
        return below, above - below

    def _lookup_by_group(
        self, node: NDArray[np.intp], rows: NDArray[np.intp] | None
    ) -> tuple[Array, Array]:
        below, step = np.empty(node.shape), np.empty(node.shape)
        for number, (table, weight) in enumerate(self._by_group):
            at = node[:, number]
            if weight is not None and rows is not None:
                weight = weight.take(rows, axis=0)
            below[:, number], step[:, number] = cell(table, at, weight)
        return below, step

    @cached_property
    def _membership(self) -> Array:
        """1 where a column is in a group, shape (columns, groups)."""
        membership = np.zeros((self._table.shape[1], len(self._groups)))
        for number, columns in enumerate(self._groups):
            membership[columns, number] = 1.0
        return membership

    @cached_property
    def _by_group(self) -> list[tuple[Array, Array | None]]:
        """Table and weights of each group's columns, those with the same weights summed."""
        found: list[tuple[Array, Array | None]] = []
        for columns in self._groups:
            if self._loss is None:
                found.append((np.ascontiguousarray(self._table[:, columns]), None))
                continue
            sums: dict[int, Array] = {}
            loss, first = self._loss, self._loss[0].tolist()
            for column in columns:
                alike = (at for at in sums if first[at] == first[column])
                same = (at for at in alike if (loss[:, at] == loss[:, column]).all())
                one = next(same, column)
                sums[one] = sums.get(one, 0.0) + self._table[:, column]
            found.append((np.stack([*sums.values()], axis=1), self._loss[:, [*sums]]))
        return found


@dataclass(frozen=True)
class _TableCells:
    """Between which nodes each flow was, resistance at the lower, and how much more at the other.

    Each of shape (n, groups).
    """

    node: NDArray[np.intp]
    below: Array
    step: Array

    def subset(self, rows: NDArray[np.intp]) -> "_TableCells":
        return _TableCells(self.node[rows], self.below[rows], self.step[rows])
