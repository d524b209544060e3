"""Resistance of a network's lines at given flows, read from the tables of their parts."""

import copy
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, GridPlace, place, resistance, rise_by_log
from loop.hydraulics.cases import Cases
from loop.hydraulics.network import Network

# Up to so many cases all lines are read at once, in a tenth of the calls; of more each line by
# itself, which reads whole rows of its table, several times faster.
_FEW = 64


class Resistances:
    """Resistances of every line, for one network and set of cases."""

    def __init__(self, network: Network, cases: Cases) -> None:
        lines = [list(line.parts) for line in network.lines]
        self._loss: Array | None = None
        if cases.loss is None:
            # With nothing to weigh, the parts of a line are one.
            self._table = np.stack([network.tables[:, at].sum(axis=1) for at in lines], axis=1)
            self._lines = [[number] for number in range(len(lines))]
            self._line_of = np.arange(len(lines))
        else:
            self._table, self._lines = network.tables, lines
            self._line_of = np.array(network.line_of)
            self._loss = np.broadcast_to(cases.loss, (cases.count, len(network.parts)))

    def of(self, rows: NDArray[np.bool_] | NDArray[np.intp]) -> "Resistances":
        """The same for some of the cases: `rows` are indices or a mask."""
        if self._loss is None:
            return self
        part = copy.copy(self)
        part._loss = self._loss[rows]
        part.__dict__.pop("_by_line", None)
        return part

    def factor(self, case: int, part: int) -> float:
        """Factor on a part's loss in a case."""
        return 1.0 if self._loss is None else float(self._loss[case, part])

    def __call__(self, size: Array) -> tuple[Array, Array]:
        """Resistance [s²/m⁵] at these flows [m³/s], and its derivative by the logarithm of flow.

        Each of shape (n, lines).
        """
        return self._at_once(size) if len(size) <= _FEW else self._one_by_one(size)

    def _at_once(self, size: Array) -> tuple[Array, Array]:
        at = place(size)
        columns = self._table.shape[1]
        node = at.node[:, self._line_of] * columns + np.arange(columns)
        below, above = self._table.take(node), self._table.take(node + columns)
        if self._loss is not None:
            below, above = (below * self._loss) @ self._on, (above * self._loss) @ self._on
        step = above - below
        return below + step * at.share, rise_by_log(step)

    def _one_by_one(self, size: Array) -> tuple[Array, Array]:
        at = place(size)
        value, rise = np.empty_like(size), np.empty_like(size)
        for number, (table, weight) in enumerate(self._by_line):
            here = GridPlace(at.node[:, number], at.share[:, number])
            value[:, number], rise[:, number] = resistance(table, here, weight)
        return value, rise

    @cached_property
    def _on(self) -> Array:
        """1 where a part is on a line, shape (parts, lines)."""
        on = np.zeros((self._table.shape[1], len(self._lines)))
        for number, columns in enumerate(self._lines):
            on[columns, number] = 1.0
        return on

    @cached_property
    def _by_line(self) -> list[tuple[Array, Array | None]]:
        """Table and weights of each line's parts."""
        return [
            (
                np.ascontiguousarray(self._table[:, columns]),
                None if self._loss is None else self._loss[:, columns],
            )
            for columns in map(_together, self._lines)
        ]


def _together(columns: list[int]) -> list[int] | slice:
    """Columns as a slice where they follow each other, which spares a copy of what they hold."""
    first, last = columns[0], columns[-1]
    return slice(first, last + 1) if columns == list(range(first, last + 1)) else columns
