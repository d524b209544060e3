"""Monotone curves through measured points, and resistances tabulated once for array arithmetic."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

Array = NDArray[np.float64]

# One grid for every part, from a drip to far beyond any boat's pump, so that a table can be kept
# and shared by every loop that holds the part. At this spacing a straight line between nodes is
# within 0.03 % of a laminar resistance (which goes as 1/flow), and closer in turbulent flow. Within
# one cell of Reynolds 2040 and 3000, where a hose's friction turns sharply, it is within 3 %.
_LOG_LOW, _LOG_STEP, _NODES = float(np.log(1e-8)), 0.05, 370
FLOW_GRID: Array = np.exp(_LOG_LOW + _LOG_STEP * np.arange(_NODES))


class MonotoneCurve:
    """Falling or rising curve through points by monotone cubics (PCHIP).

    Parameters
    ----------
    x, y : array of float, shape (n,)
        Points; ``x`` strictly rising, n at least 2.

    Notes
    -----
    Piecewise cubic Hermite interpolation that keeps the data's monotony: Fritsch & Butland, SIAM
    J. Sci. Stat. Comput. 5 (1984) 300, as in ``scipy.interpolate.PchipInterpolator``.

    Examples
    --------
    >>> curve = MonotoneCurve([0.0, 1.0, 2.0], [3.0, 2.0, 0.0])
    >>> float(curve(1.0)), float(curve(2.5)), float(curve.extended(2.5))
    (2.0, nan, -1.25)
    """

    def __init__(self, x: ArrayLike, y: ArrayLike) -> None:
        self.x = np.asarray(x, dtype=float)
        self.y = np.asarray(y, dtype=float)
        self._inside = PchipInterpolator(self.x, self.y)
        end = float(self._inside.derivative()(self.x[-1]))
        chord = float((self.y[-1] - self.y[-2]) / (self.x[-1] - self.x[-2]))
        # A PCHIP end slope can be zero; a line at that slope would never reach any other value.
        self._end_slope = end if abs(end) > abs(chord) else chord

    def __call__(self, x: ArrayLike) -> Array:
        """Value at `x`; NaN outside the points, since nothing was measured there."""
        x = np.asarray(x, dtype=float)
        inside = (x >= self.x[0]) & (x <= self.x[-1])
        return np.where(inside, self._inside(np.clip(x, self.x[0], self.x[-1])), np.nan)

    def extended(self, x: ArrayLike) -> Array:
        """Value at `x`, a straight line past the last point and level before the first.

        For solvers, which must be able to step outside on their way; a caller whose answer lies
        past the last point owes its user a warning.
        """
        return self.extended_with_slope(x)[0]

    def extended_with_slope(self, x: ArrayLike) -> tuple[Array, Array]:
        """Value of `extended` at `x`, and its derivative.

        >>> value, slope = MonotoneCurve([0.0, 1.0, 2.0], [3.0, 2.0, 0.0]).extended_with_slope(2.5)
        >>> float(value), float(slope)
        (-1.25, -2.5)
        """
        x = np.asarray(x, dtype=float)
        inside = np.minimum(np.maximum(x, self.x[0]), self.x[-1])
        span = np.minimum(np.searchsorted(self.x, inside, side="right") - 1, len(self.x) - 2)
        along = inside - self.x.take(span)
        cubic, square, linear, level = self._inside.c.take(span, axis=1)
        value = ((cubic * along + square) * along + linear) * along + level
        slope = (3 * cubic * along + 2 * square) * along + linear
        outside = x - inside
        if np.any(outside):
            value = value + self._end_slope * np.maximum(outside, 0.0)
            slope = np.where(outside > 0, self._end_slope, np.where(outside < 0, 0.0, slope))
        return np.asarray(value, dtype=float), np.asarray(slope, dtype=float)


def tabulate(head_losses: Callable[[Array], Array]) -> Array:
    """Resistance R [s²/m⁵] of a part on `FLOW_GRID`, where its head loss is R Q².

    `head_losses` gives the losses [m] at flows above zero [m³/s], each shape (n,).
    """
    return head_losses(FLOW_GRID) / FLOW_GRID**2


@dataclass(frozen=True)
class GridPlace:
    """Where flows lie on `FLOW_GRID`: node below, share of the way to the next."""

    node: NDArray[np.intp]
    share: Array


def place(flow: Array) -> GridPlace:
    """Places of the magnitudes of `flow` [m³/s] on the grid; held at the ends outside it."""
    position = (np.log(np.maximum(np.abs(flow), FLOW_GRID[0])) - _LOG_LOW) / _LOG_STEP
    position = np.minimum(position, _NODES - 1.000001)
    node = position.astype(np.intp)
    return GridPlace(node, position - node)


def resistance(table: Array, at: GridPlace, weight: Array | None = None) -> tuple[Array, Array]:
    """Sum of tabulated resistances at `at`, and its derivative by the logarithm of flow.

    Parameters
    ----------
    table : array, shape (nodes, parts)
        Resistances on `FLOW_GRID`, a column a part.
    at : GridPlace of shape (n,)
    weight : array, shape (n, parts), optional
        Multiplier of each part's loss in each case; 1 where left out.
    """
    # `take` gathers rows several times faster than indexing does.
    low, high = table.take(at.node, axis=0), table.take(at.node + 1, axis=0)
    if weight is None:
        below, above = low.sum(axis=-1), high.sum(axis=-1)
    else:
        below = np.einsum("np,np->n", low, weight)
        above = np.einsum("np,np->n", high, weight)
    step = above - below
    return below + step * at.share, rise_by_log(step)


def rise_by_log(step: Array) -> Array:
    """Derivative by the logarithm of flow of what rises by `step` from one node to the next."""
    return step / _LOG_STEP
