"""Monotone curves through measured points, and resistances tabulated for array arithmetic."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loop.records import dataclass

Array = NDArray[np.float64]
IntArray = NDArray[np.intp]
# A float or an array.
Numbers = TypeVar("Numbers", float, Array)

# One grid for all parts, from a drip to far beyond any boat's pump, so that a part's table can be
# cached and shared by every loop that contains it. At this spacing, linear interpolation is within
# 0.03 % of a laminar resistance (proportional to 1/flow), and closer in turbulent flow. Within one
# cell of Reynolds 2040 and 3000, where a hose's friction changes slope sharply, it is within 3 %.
_LOG_LOW, _LOG_STEP, _NODES = float(np.log(1e-8)), 0.05, 370
FLOW_GRID: Array = np.exp(_LOG_LOW + _LOG_STEP * np.arange(_NODES))


class MonotoneCurve:
    """Monotone cubic interpolation of falling or rising points (PCHIP).

    Parameters
    ----------
    x, y : array of float, shape (n,)
        Points; ``x`` strictly increasing, n at least 2.

    Notes
    -----
    Piecewise cubic Hermite interpolation that preserves monotonicity: Fritsch & Butland, SIAM J.
    Sci. Stat. Comput. 5 (1984) 300, after Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238;
    the same curve as ``scipy.interpolate.PchipInterpolator``, whose import alone would take longer
    than a whole check.

    Examples
    --------
    >>> curve = MonotoneCurve([0.0, 1.0, 2.0], [3.0, 2.0, 0.0])
    >>> float(curve(1.0)), float(curve(2.5)), float(curve.extended(2.5))
    (2.0, nan, -1.25)
    """

    def __init__(self, x: ArrayLike, y: ArrayLike) -> None:
        self.x = np.asarray(x, dtype=float)
        self.y = np.asarray(y, dtype=float)
        end = float(monotone_slopes(self.x, self.y)[-1])
        chord = float((self.y[-1] - self.y[-2]) / (self.x[-1] - self.x[-2]))
        # A PCHIP end slope can be zero; extrapolation at that slope would never reach another
        # value.
        self.end_slope = end if abs(end) > abs(chord) else chord
        # Intervals: before the first point, between the points, and past the last. Each has the
        # coefficients of its cubic in the distance from `origins`; `knots` are where the next
        # begins, the last point itself still belonging to the interval before it.
        self.knots = np.append(self.x[:-1], np.nextafter(self.x[-1], np.inf))
        self.origins = np.append(self.x[0], self.x)
        first, last = [0.0, 0.0, 0.0, self.y[0]], [0.0, 0.0, self.end_slope, self.y[-1]]
        self.coefficients = np.column_stack([first, _cubics(self.x, self.y), last])

    def __call__(self, x: ArrayLike) -> Array:
        """Value at `x`; NaN outside the measured points."""
        x = np.asarray(x, dtype=float)
        inside = (x >= self.x[0]) & (x <= self.x[-1])
        return np.where(inside, self.extended(x), np.nan)

    def extended(self, x: ArrayLike) -> Array:
        """Value at `x`, linear past the last point and constant before the first.

        For solvers, whose iterations may step outside; a caller whose result lies past the last
        point must warn its user.
        """
        return self.extended_with_slope(x)[0]

    def extended_with_slope(self, x: ArrayLike) -> tuple[Array, Array]:
        """Value of `extended` at `x`, and its derivative.

        >>> value, slope = MonotoneCurve([0.0, 1.0, 2.0], [3.0, 2.0, 0.0]).extended_with_slope(2.5)
        >>> float(value), float(slope)
        (-1.25, -2.5)
        """
        x = np.asarray(x, dtype=float)
        if x.size == 1:
            one, rise = self._of_one(x.item())
            return np.full(x.shape, one), np.full(x.shape, rise)
        span = self.knots.searchsorted(x, side="right")
        along = x - self.origins.take(span)
        return _cubic(self.coefficients.take(span, axis=1), along)

    def _of_one(self, x: float) -> tuple[float, float]:
        """The same for a single float: array calls would cost more."""
        knots, origins, coefficients = self._lists
        span = bisect_right(knots, x)
        return _cubic(coefficients[span], x - origins[span])

    @cached_property
    def _lists(self) -> tuple[list[float], list[float], list[list[float]]]:
        """Knots, origins and the coefficients of each interval."""
        return self.knots.tolist(), self.origins.tolist(), self.coefficients.T.tolist()


class CurveFamily:
    """Several curves, evaluated at many points, each on one of them: see `MonotoneCurve`."""

    def __init__(self, curves: Sequence[MonotoneCurve]) -> None:
        spans = max(len(curve.origins) for curve in curves)
        self._knots = np.full((len(curves), spans - 1), np.inf)
        self._origins = np.zeros((len(curves), spans))
        self._coefficients = np.zeros((len(curves), spans, 4))
        for number, curve in enumerate(curves):
            own = len(curve.origins)
            self._knots[number, : own - 1] = curve.knots
            self._origins[number, :own] = curve.origins
            self._coefficients[number, :own] = curve.coefficients.T

    def extended_with_slope(self, x: Array, which: NDArray[np.intp]) -> tuple[Array, Array]:
        """`MonotoneCurve.extended_with_slope` at `x` on curve `which`, each shape (n,)."""
        span = (self._knots[which] <= x[:, None]).sum(axis=1)
        return _cubic(self._coefficients[which, span].T, x - self._origins[which, span])


def _cubic(coefficients: Iterable[Numbers], along: Numbers) -> tuple[Numbers, Numbers]:
    """Value and slope of cubics, from their coefficients, highest first."""
    cubic, square, linear, level = coefficients
    value = ((cubic * along + square) * along + linear) * along + level
    return value, (3 * cubic * along + 2 * square) * along + linear


def monotone_slopes(x: Array, y: Array) -> Array:
    """Slopes of monotone cubics at their points, each of shape (n,).

    ``x`` is strictly increasing; n is at least 2. Between chords of one sign the slope is their
    weighted harmonic mean, and 0 at an extremum or next to a level chord; at the ends it is that of
    a parabola through three points, limited to the sign of the end chord and, if the next chord has
    the other sign, to three times it (references: `MonotoneCurve`).

    >>> monotone_slopes(np.array([0.0, 1.0, 2.0]), np.array([3.0, 2.0, 0.0])).round(3).tolist()
    [-0.5, -1.333, -2.5]
    """
    step = np.diff(x)
    chord = np.diff(y) / step
    if len(chord) == 1:
        return np.repeat(chord, 2)
    before, after = chord[:-1], chord[1:]
    one_way = np.sign(before) * np.sign(after) > 0
    near, far = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
    safe_before, safe_after = np.where(one_way, before, 1.0), np.where(one_way, after, 1.0)
    mean = (near + far) / (near / safe_before + far / safe_after)
    ends = [_end_slope(step[:2], chord[:2]), _end_slope(step[:-3:-1], chord[:-3:-1])]
    return np.concatenate([ends[:1], np.where(one_way, mean, 0.0), ends[1:]])


def _end_slope(step: Array, chord: Array) -> float:
    """Slope at an end, from the two nearest steps and chords, the outer first."""
    parabola = ((2 * step[0] + step[1]) * chord[0] - step[0] * chord[1]) / (step[0] + step[1])
    if parabola * chord[0] <= 0:
        return 0.0
    if chord[0] * chord[1] < 0 and abs(parabola) > 3 * abs(chord[0]):
        return float(3 * chord[0])
    return float(parabola)


def _cubics(x: Array, y: Array) -> Array:
    """Cubic coefficients of each interval, by distance from its first point, shape (4, n − 1)."""
    step, slope = np.diff(x), monotone_slopes(x, y)
    chord = np.diff(y) / step
    bend = (slope[:-1] + slope[1:] - 2 * chord) / step
    return np.stack([bend / step, (chord - slope[:-1]) / step - bend, slope[:-1], y[:-1]])


def tabulate(head_losses: Callable[[Array], Array]) -> Array:
    """Resistance R [s²/m⁵] of a part on `FLOW_GRID`, where its head loss is R Q².

    `head_losses` returns the losses [m] at flows above 0 [m³/s], each shape (n,).
    """
    return head_losses(FLOW_GRID) / FLOW_GRID**2


@dataclass(frozen=True)
class GridPlace:
    """Positions of flows on `FLOW_GRID`: the node below, and the fraction to the next."""

    node: NDArray[np.intp]
    share: Array


def place(flow: Array) -> GridPlace:
    """Positions of the magnitudes of `flow` [m³/s] on the grid, limited to its ends."""
    position = (np.log(np.maximum(np.abs(flow), FLOW_GRID[0])) - _LOG_LOW) / _LOG_STEP
    position = np.minimum(position, _NODES - 1.000001)
    node = position.astype(np.intp)
    return GridPlace(node, position - node)


def resistance(table: Array, at: GridPlace, weight: Array | None = None) -> tuple[Array, Array]:
    """Sum of tabulated resistances at `at`, and its derivative by the log of flow.

    Parameters
    ----------
    table : array, shape (nodes, parts)
        Resistances on `FLOW_GRID`, one column per part.
    at : GridPlace of shape (n,)
    weight : array, shape (n, parts), optional
        Factor on each part's loss in each case; 1 if omitted.
    """
    below, step = cell(table, at.node, weight)
    return below + step * at.share, rise_by_log(step)


def cell(table: Array, node: IntArray, weight: Array | None = None) -> tuple[Array, Array]:
    """Sum of tabulated resistances at these nodes, and by how much more it is at the next.

    Parameters as of `resistance`; ``node`` of shape (n,), below the last.
    """
    # `take` gathers rows several times faster than indexing does.
    low, high = table.take(node, axis=0), table.take(node + 1, axis=0)
    if weight is None:
        below, above = low.sum(axis=-1), high.sum(axis=-1)
    else:
        below = np.einsum("np,np->n", low, weight)
        above = np.einsum("np,np->n", high, weight)
    return below, above - below


def rise_by_log(step: Array) -> Array:
    """Derivative by the log of flow of a quantity that rises by `step` between nodes."""
    return step / _LOG_STEP
