"""Monotone curves and tables of resistance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from loop.curve import (
    FLOW_GRID,
    CurveFamily,
    MonotoneCurve,
    monotone_slopes,
    place,
    resistance,
    tabulate,
)


@st.composite
def falling_curves(draw: st.DrawFn) -> MonotoneCurve:
    steps = draw(
        st.lists(st.tuples(st.floats(0.01, 1), st.floats(0.01, 1)), min_size=2, max_size=9)
    )
    x = np.concatenate([[0.0], np.cumsum([step for step, _ in steps])])
    y = np.concatenate([[10.0], 10.0 - np.cumsum([fall for _, fall in steps])])
    return MonotoneCurve(x, y)


@given(falling_curves())
def test_a_falling_curve_falls_everywhere_and_goes_through_its_points(curve: MonotoneCurve) -> None:
    x = np.linspace(0, curve.x[-1], 500)
    assert np.all(np.diff(curve(x)) <= 1e-12)
    assert curve(curve.x) == pytest.approx(curve.y)


def drawn_points(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Points of any shape: falling, rising, turning, with level spans, close and far apart."""
    count = int(rng.integers(2, 12))
    x = np.cumsum(10.0 ** rng.uniform(-4, 1, count))
    steps = 10.0 ** rng.uniform(-4, 1, count) * rng.choice(
        [-1.0, 1.0, 0.0], count, p=[0.6, 0.3, 0.1]
    )
    return x, np.cumsum(-np.abs(steps) if rng.random() < 0.4 else steps)


def test_curves_are_those_of_scipy() -> None:
    rng = np.random.default_rng(41)
    for _ in range(800):
        x, y = drawn_points(rng)
        theirs = PchipInterpolator(x, y)
        slopes = theirs.derivative()(x)
        assert monotone_slopes(x, y) == pytest.approx(
            slopes, rel=1e-12, abs=1e-14 * abs(slopes).max()
        )
        at = np.linspace(x[0], x[-1], 50)
        assert MonotoneCurve(x, y)(at) == pytest.approx(
            theirs(at), rel=1e-14, abs=1e-14 * abs(y).max()
        )


@given(falling_curves(), st.floats(0.01, 10))
def test_nothing_is_said_outside_the_points(curve: MonotoneCurve, beyond: float) -> None:
    assert np.isnan(curve(curve.x[-1] + beyond))
    assert np.isnan(curve(-beyond))
    # A solver may step outside: straight on past the end, level before the start.
    assert curve.extended(-beyond) == curve.y[0]
    assert curve.extended(curve.x[-1] + beyond) < curve.y[-1]


@given(falling_curves(), st.floats(-0.5, 1.5))
def test_slope_is_the_derivative(curve: MonotoneCurve, share: float) -> None:
    x, step = share * curve.x[-1], 1e-7
    value, slope = curve.extended_with_slope(x)
    ends = curve.extended([x - step, x + step])
    if not np.any(np.abs(curve.x - x) < 2 * step):
        assert slope == pytest.approx((ends[1] - ends[0]) / (2 * step), rel=1e-4, abs=1e-4)
    assert value == pytest.approx(float(curve.extended(x)))


@given(st.lists(falling_curves(), min_size=1, max_size=5), st.integers(0, 99))
def test_a_family_reads_each_value_on_its_own_curve(curves: list[MonotoneCurve], seed: int) -> None:
    rng = np.random.default_rng(seed)
    which = rng.integers(len(curves), size=40)
    x = rng.uniform(-0.2, 1.3, 40) * np.array([curve.x[-1] for curve in curves])[which]
    values, slopes = CurveFamily(curves).extended_with_slope(x, which)
    alone = [curves[k].extended_with_slope(at) for k, at in zip(which, x, strict=True)]
    assert values.tolist() == [float(value) for value, _ in alone]
    assert slopes.tolist() == [float(slope) for _, slope in alone]


@given(falling_curves())
def test_array_equals_scalar(curve: MonotoneCurve) -> None:
    x = np.linspace(-0.1, 1.2, 14) * curve.x[-1]
    assert curve.extended(x) == pytest.approx([float(curve.extended(v)) for v in x])


@given(st.floats(1e-6, 0.9), st.floats(1, 2.2), st.floats(1e-3, 1e9))
def test_a_table_keeps_any_power_law_within_a_thousandth(
    flow: float, exponent: float, size: float
) -> None:
    table = tabulate(lambda q: size * q**exponent)[:, None]
    value, _ = resistance(table, place(np.array([flow])))
    assert value[0] * flow**2 == pytest.approx(size * flow**exponent, rel=1e-3)


def test_tables_add_and_weigh() -> None:
    table = np.stack([tabulate(lambda q: q**2), tabulate(lambda q: 3 * q**1.8)], axis=1)
    flow = np.array([1e-4, 3e-4])
    at = place(flow)
    both, bend = resistance(table, at)
    one, two = (resistance(table[:, [i]], at)[0] for i in (0, 1))
    assert both == pytest.approx(one + two)
    weighted, _ = resistance(table, at, np.array([[2.0, 0.5], [1.0, 1.0]]))
    assert weighted == pytest.approx([2 * one[0] + 0.5 * two[0], both[1]])
    # A quadratic's resistance does not depend on the flow; the other's goes as Q^-0.2.
    assert bend == pytest.approx(-0.2 * two, rel=0.01)


def test_the_grid_reaches_from_a_drip_to_beyond_any_boat() -> None:
    assert FLOW_GRID[0] <= 1e-8
    assert FLOW_GRID[-1] > 0.1
    # Held at its ends outside.
    table = tabulate(lambda q: q**2)[:, None]
    value, _ = resistance(table, place(np.array([0.0, 1e3, -1e-4])))
    assert value == pytest.approx([1, 1, 1])
