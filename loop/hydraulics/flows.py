"""Result of the solver."""

from collections.abc import Sequence
from dataclasses import fields

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.records import dataclass


@dataclass(frozen=True)
class Flows:
    """Result of the solver for n cases.

    line_flow : shape (n, lines) [m³/s]; pump_head : (n,) [m]; residual : (n,), largest head
    imbalance of any line [m]; settled : (n,), whether the residual meets the requested tolerance,
    or nearly; air : (n, sections), which sections of falling legs hold air.
    """

    line_flow: Array
    pump_head: Array
    residual: Array
    settled: NDArray[np.bool_]
    air: NDArray[np.bool_]

    def __getitem__(
        self, rows: slice | list[int] | NDArray[np.bool_] | NDArray[np.intp]
    ) -> "Flows":
        """The result for some of the cases."""
        return Flows(*(getattr(self, each.name)[rows] for each in fields(self)))

    def with_rows(self, rows: NDArray[np.intp], some: "Flows") -> "Flows":
        """A copy with these rows replaced by those of `some`."""
        new = []
        for each in fields(self):
            values = getattr(self, each.name).copy()
            values[rows] = getattr(some, each.name)
            new.append(values)
        return Flows(*new)

    @staticmethod
    def concatenate(parts: Sequence["Flows"]) -> "Flows":
        """Results concatenated along the cases."""
        return Flows(
            *(
                np.concatenate([getattr(part, each.name) for part in parts])
                for each in fields(Flows)
            )
        )
