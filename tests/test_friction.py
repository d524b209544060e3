"""Friction factor: the laws on both sides of the transition, and the transition itself."""

import math

import fluids
import numpy as np
import pytest

from loop.parts.friction import friction_factor, reynolds, velocity, velocity_head
from loop.seawater import Water

ROUGHNESS = [0.0, 1e-3, 0.03]


@pytest.mark.parametrize("roughness", ROUGHNESS)
def test_laminar_law_holds_to_2040(roughness: float) -> None:
    """64/Re, whatever the wall."""
    for number in (1.0, 300.0, 2039.0, 2039.5, 2039.999, 2040.0):
        assert friction_factor(number, roughness) == pytest.approx(64 / number, rel=1e-9)


@pytest.mark.parametrize("roughness", ROUGHNESS)
def test_colebrook_holds_from_3000(roughness: float) -> None:
    """1/√f = −2 log10(ε/3.7 + 2.51/(Re √f)), by its own residual; constants as Colebrook's."""
    for number in (3000.0, 3000.5, 3001.0, 2e4, 1e6):
        root = math.sqrt(friction_factor(number, roughness))
        right = -2 * math.log10(roughness / 3.7 + 2.51 / (number * root))
        assert 1 / root == pytest.approx(right, rel=1e-5)


@pytest.mark.parametrize("roughness", ROUGHNESS)
def test_between_them_log_f_is_straight_against_log_re(roughness: float) -> None:
    """At the geometric mean of the ends f is theirs; at a quarter, f1^(3/4) f2^(1/4)."""
    low, high = 64 / 2040, fluids.friction_factor(3000.0, roughness)
    for share in (0.001, 0.25, 0.5, 0.9, 0.999):
        number = 2040.0 ** (1 - share) * 3000.0**share
        expected = low ** (1 - share) * high**share
        assert friction_factor(number, roughness) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("roughness", ROUGHNESS)
def test_no_step_anywhere_and_the_loss_rises_all_the_way(roughness: float) -> None:
    numbers = np.arange(2030.0, 3010.0, 0.25)
    factors = np.array([friction_factor(float(n), roughness) for n in numbers])
    assert np.max(np.abs(np.diff(factors))) < 1e-4
    assert np.all(np.diff(factors * numbers**2) > 0)


def test_speed_head_and_reynolds_scale_as_they_must() -> None:
    """Twice the bore: 1/4 of the velocity, 1/16 of its head, half the Reynolds number."""
    water = Water(temperature=20.0, salinity=35.0)
    assert velocity(3e-4, 0.04) == pytest.approx(velocity(3e-4, 0.02) / 4)
    assert velocity_head(3e-4, 0.04) == pytest.approx(velocity_head(3e-4, 0.02) / 16)
    assert reynolds(3e-4, 0.04, water) == pytest.approx(reynolds(3e-4, 0.02, water) / 2)
