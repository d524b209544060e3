"""What the flow means to the condenser: how much the water warms, and where the unit condenses."""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from loop.curve import Array
from loop.job import Unit
from loop.seawater import Water

# Share of the condenser's thermal resistance that lies on the water side at the needed flow:
# engineering estimate.
WATER_SHARE = 0.5
# Turbulent flow in a tube: film coefficient ~ velocity^0.8 (Dittus–Boelter form, any heat-transfer
# textbook).
FILM_EXPONENT = 0.8


def water_rise(rejected_heat: float, flow: ArrayLike, water: Water) -> Array:
    """Rise of the water's temperature [K] on its way through the condenser.

    Parameters
    ----------
    rejected_heat : float
        Heat that the water carries away [W], 0 or more.
    flow : float or array
        Flow through the condenser [m³/s]; infinite rise where it is 0.
    water : Water

    Notes
    -----
    Heat balance: ΔT = reject/(ρ Q cp).

    Examples
    --------
    12,000 BTU/h with the compressor's heat, at 180 gal/h of sea water of 85 °F, in °F:

    >>> sea = Water(temperature=29.444, salinity=35.0)
    >>> print(f"{float(water_rise(4396.07, 1.892706e-4, sea)) * 1.8:.1f}")
    10.2
    """
    flow = np.asarray(flow, dtype=float)
    carried = water.density * water.heat_capacity * np.maximum(flow, 0.0)
    rise = np.full(carried.shape, np.inf)
    return np.asarray(np.divide(rejected_heat, carried, out=rise, where=carried > 0))


@cache
def rated_conductance(unit: Unit, water: Water) -> float:
    """UA of a clean condenser [W/K] at its needed flow, from its approach there.

    Condensing at one temperature, effectiveness is 1 − exp(−NTU), so that condensing minus leaving
    water is ΔT/(exp(NTU) − 1), which the approach states: NTU = ln(1 + ΔT/approach).

    Source: effectiveness–NTU relation, Kays & London, Compact Heat Exchangers; Incropera & DeWitt.
    """
    rise = float(water_rise(unit.rejected_heat, unit.needed_flow, water))
    units_of_transfer = np.log1p(rise / unit.approach)
    return float(units_of_transfer * water.density * water.heat_capacity * unit.needed_flow)


def conductance(
    unit: Unit, flow: ArrayLike, water: Water, ua: ArrayLike = 1.0, fouling: ArrayLike = 0.0
) -> Array:
    """UA of a condenser [W/K] at `flow` [m³/s].

    1/UA = [w (Q/Q_r)^−0.8 + 1 − w]/UA_r + fouling, w = 0.5 of the resistance on the water side (an
    engineering estimate). `ua` multiplies UA_r (a fitted condenser); `fouling` is the resistance
    that a film or scale adds, as a share of the clean condenser's 1/UA_r.
    """
    ratio = np.maximum(np.asarray(flow, dtype=float), 1e-12) / unit.needed_flow
    resistance = WATER_SHARE * ratio**-FILM_EXPONENT + 1 - WATER_SHARE + np.asarray(fouling)
    return np.asarray(rated_conductance(unit, water) * np.asarray(ua) / resistance)


def condensing_temperature(
    unit: Unit,
    flow: ArrayLike,
    sea_temperature: ArrayLike,
    water: Water,
    *,
    ua: ArrayLike = 1.0,
    fouling: ArrayLike = 0.0,
) -> Array:
    """Condensing temperature [°C] that rejects the unit's heat into this flow.

    Parameters
    ----------
    unit : Unit
    flow : float or array
        Flow through the condenser [m³/s]; infinite temperature where it is 0.
    sea_temperature : float or array
        Temperature of the water that comes in [°C]; broadcasts with `flow`.
    water : Water
        Its density and heat capacity, which hardly change with temperature.
    ua, fouling : float or array
        Factor on the rated UA, and added resistance as a share of it; see `conductance`.

    Notes
    -----
    T_c = T_in + ΔT/(1 − exp(−NTU)), NTU = UA/(ρ Q cp). The heat is taken as fixed: past some
    45 °C the compressor's own limits rule, and the figure only says that the unit will trip.
    """
    flow = np.asarray(flow, dtype=float)
    rise = water_rise(unit.rejected_heat, flow, water)
    carried = water.density * water.heat_capacity * np.maximum(flow, 1e-12)
    transfer = conductance(unit, flow, water, ua, fouling) / carried
    return np.asarray(np.asarray(sea_temperature) + rise / -np.expm1(-transfer))
