"""Heat at the condenser: its balance, its limits, and the law of its water film."""

import math

import numpy as np
import pytest

from loop.job import Unit
from loop.margins.heat import (
    condensing_temperature,
    conductance,
    rated_conductance,
    water_rise,
)
from loop.seawater import Water

SEA = Water(temperature=24.0, salinity=35.0)
UNIT = Unit(name="saloon", cooling=3517.0)
NEED, HEAT = UNIT.needed_flow, UNIT.rejected_heat
CAPACITY = SEA.density * SEA.heat_capacity


def test_what_the_water_takes_up_is_the_heat_rejected() -> None:
    for flow in (0.3 * NEED, NEED, 4 * NEED):
        assert float(water_rise(HEAT, flow, SEA)) * flow * CAPACITY == pytest.approx(HEAT)
    # No heat, no rise; half the flow, twice the rise.
    assert water_rise(0.0, NEED, SEA) == 0
    assert water_rise(HEAT, NEED / 2, SEA) == pytest.approx(2 * water_rise(HEAT, NEED, SEA))


def test_water_that_stands_or_runs_back_takes_no_heat_away() -> None:
    flow = np.array([0.0, -1e-4, 1e-13, NEED])
    with np.errstate(all="raise"):
        rise = water_rise(HEAT, flow, SEA)
        hot = condensing_temperature(UNIT, flow, 24.0, SEA)
    assert np.isinf(rise).tolist() == [True, True, False, False]
    assert np.all(rise > 0)
    assert np.isinf(hot).tolist() == [True, True, False, False]
    assert np.all(hot > 24.0)


def test_at_the_needed_flow_it_condenses_an_approach_above_the_leaving_water() -> None:
    """The definition of the approach, whatever the unit, the sea and the approach."""
    for approach in (2.0, 5.6, 11.0):
        unit = UNIT.model_copy(update={"approach": approach})
        leaving = 24.0 + float(water_rise(HEAT, NEED, SEA))
        hot = float(condensing_temperature(unit, NEED, 24.0, SEA))
        assert hot == pytest.approx(leaving + approach)
        # Effectiveness 1 − exp(−NTU), NTU = UA/(ρ Q cp): the same, from the other side.
        transfer = rated_conductance(unit, SEA) / (NEED * CAPACITY)
        assert (leaving - 24.0) / (hot - 24.0) == pytest.approx(1 - math.exp(-transfer))


def test_the_water_film_goes_with_the_flow_to_the_0_8() -> None:
    """Half the resistance in the water: at twice the flow 0.5/2^0.8 + 0.5 = 0.787 of it is left.

    2^0.8 = 1.7411: 0.5/1.7411 = 0.28717. At half the flow 0.5 · 1.7411 + 0.5 = 1.37055.
    """
    rated = rated_conductance(UNIT, SEA)
    assert conductance(UNIT, 2 * NEED, SEA) == pytest.approx(rated / 0.78717, rel=1e-5)
    assert conductance(UNIT, NEED / 2, SEA) == pytest.approx(rated / 1.37055, rel=1e-5)
    # A film as good as a clean condenser's whole resistance comes on top.
    assert conductance(UNIT, NEED / 2, SEA, fouling=1.0) == pytest.approx(rated / 2.37055, rel=1e-5)
    assert conductance(UNIT, NEED / 2, SEA, ua=0.7) == pytest.approx(
        0.7 * rated / 1.37055, rel=1e-5
    )
    # Next to no flow conducts next to nothing.
    assert conductance(UNIT, 0.0, SEA) < 1e-4 * rated


def test_with_water_without_end_only_the_wall_is_left() -> None:
    """The water then stays at the sea's temperature, and condensing is Q/UA above it.

    Without its film's half of the resistance, UA is twice the rated one.
    """
    hot = float(condensing_temperature(UNIT, 1e8 * NEED, 24.0, SEA))
    assert hot - 24.0 == pytest.approx(HEAT / (2 * rated_conductance(UNIT, SEA)), rel=1e-5)


def test_condensing_moves_with_the_sea_and_falls_with_flow_and_cleanness() -> None:
    flows = np.linspace(0.1, 3.0, 50) * NEED
    hot = condensing_temperature(UNIT, flows, 24.0, SEA)
    assert np.all(np.diff(hot) < 0)
    assert condensing_temperature(UNIT, flows, 29.0, SEA) == pytest.approx(hot + 5)
    assert np.all(condensing_temperature(UNIT, flows, 24.0, SEA, fouling=0.3) > hot)
    assert np.all(condensing_temperature(UNIT, flows, 24.0, SEA, ua=1.2) < hot)
    # An array is its numbers one by one.
    each = [float(condensing_temperature(UNIT, float(f), 24.0, SEA)) for f in flows]
    assert hot == pytest.approx(each)


def test_a_unit_twice_as_large_with_twice_the_water_condenses_the_same() -> None:
    twice = Unit(name="saloon", cooling=2 * 3517.0)
    one = condensing_temperature(UNIT, 0.7 * NEED, 24.0, SEA)
    assert condensing_temperature(twice, 1.4 * NEED, 24.0, SEA) == pytest.approx(one)
    assert rated_conductance(twice, SEA) == pytest.approx(2 * rated_conductance(UNIT, SEA))
