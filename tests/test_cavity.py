"""How fast a cavity climbs a leg: derived from the momentum function, and in small bores."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from loop.hydraulics.cavity import cavity_froude

BIG = 10.0  # bore [m] in which surface tension is nothing


def level_cavity() -> float:
    """Froude number of a cavity in a level pipe, after Benjamin: no head is lost.

    From the cavity's tip, at the top of the pipe and at atmospheric pressure, Bernoulli gives speed
    and level behind it, the pipe's flow their product, and the momentum function is the same before
    and behind. In units of the bore, of g and of the density; the water behind fills the bore up to
    an angle from the bottom.
    """

    def segment(angle: float) -> tuple[float, float, float]:
        """Level, area, and area times the depth of its centroid."""
        level = (1 - math.cos(angle)) / 2
        area = (angle - math.sin(angle) * math.cos(angle)) / 4
        moment = math.sin(angle) ** 3 / 12 - math.cos(angle) * area / 2
        return level, area, moment

    whole = math.pi / 4

    def over(angle: float) -> float:
        level, area, moment = segment(angle)
        behind = math.sqrt(2 * (1 - level))
        ahead = behind * area / whole
        force_ahead = whole * (0.5 + ahead**2 / 2)
        return force_ahead - (moment + behind**2 * area)

    angle = brentq(over, 0.3 * math.pi, 0.9 * math.pi)
    level, area, _ = segment(angle)
    assert level == pytest.approx(0.563, abs=1e-3)  # Benjamin's, from memory
    return math.sqrt(2 * (1 - level)) * area / whole


def test_a_level_pipe_empties_at_the_speed_that_the_flows_force_gives() -> None:
    assert level_cavity() == pytest.approx(0.542, abs=5e-4)
    assert float(cavity_froude(BIG, 0.0, 1000.0)) == pytest.approx(level_cavity(), abs=3e-3)


def test_a_cavity_is_fastest_on_a_slope_between() -> None:
    slopes = np.linspace(0, math.pi / 2, 91)
    speeds = cavity_froude(BIG, slopes, 1025.0)
    steepest = slopes[speeds.argmax()]
    assert math.tan(steepest) == pytest.approx(0.35 / 0.54, abs=0.03)
    assert speeds.max() == pytest.approx(math.hypot(0.54, 0.35), abs=1e-3)


@given(st.floats(0.002, 0.2), st.floats(1.0, 5.0), st.floats(0, math.pi / 2))
def test_small_bores_hold_a_cavity_more_easily(bore: float, wider: float, slope: float) -> None:
    small, large = (float(cavity_froude(b, slope, 1025.0)) for b in (bore, wider * bore))
    assert 0 <= small <= large * (1 + 1e-12)


def test_surface_tension_takes_a_third_in_a_small_hose_and_a_seventh_in_a_large() -> None:
    """In a level pipe: 3/4 in and 1-1/2 in."""
    small, wide = (float(cavity_froude(b, 0.0, 1025.0)) / 0.54 for b in (0.01905, 0.0381))
    assert 0.6 < small < 0.7
    assert 0.8 < wide < 0.9
