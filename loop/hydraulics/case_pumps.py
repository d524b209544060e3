"""A separate pump for each case of a study."""

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, CurveFamily
from loop.parts import Pump
from loop.records import dataclass


@dataclass(frozen=True, eq=False)
class CasePumps:
    """The pump of each of n cases: ``index``, shape (n,), are indices into ``pumps``."""

    pumps: tuple[Pump, ...]
    index: NDArray[np.intp]

    def __getitem__(self, rows: slice | NDArray[np.bool_] | NDArray[np.intp]) -> "CasePumps":
        """The pumps of some of the cases."""
        return CasePumps(self.pumps, self.index[rows])

    def per_case(self, number: Callable[[Pump], float]) -> Array:
        """One number for each case's pump, shape (n,)."""
        return np.array([float(number(pump)) for pump in self.pumps])[self.index]

    def head_at(self, rated: Array) -> tuple[Array, Array]:
        """Head [m] of each case's curve and its slope [s/m²] at `rated` flow [m³/s], each (n,)."""
        return _curve_family(self.pumps).extended_with_slope(rated, self.index)

    def evaluate(self, row: Callable[[Pump, Array], Array], rated: Array) -> Array:
        """A row of each case's pump file at `rated` flow [m³/s], shape (n,)."""
        found = np.empty(len(self.index))
        for number, pump in enumerate(self.pumps):
            own = self.index == number
            found[own] = row(pump, rated[own])
        return found


@lru_cache(maxsize=16)
def _curve_family(pumps: tuple[Pump, ...]) -> CurveFamily:
    return CurveFamily([pump.curve.head_curve for pump in pumps])
