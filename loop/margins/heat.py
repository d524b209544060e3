"""Effect of flow on a condenser: the water's temperature rise and the condensing temperature."""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loop.curve import Array
from loop.job import Unit
from loop.job.electrical import MIN_CONDENSING
from loop.records import dataclass
from loop.seawater import Water

# Water-side share of the condenser's thermal resistance at the required flow: engineering estimate.
WATER_SHARE = 0.5
# Turbulent flow in a tube: film coefficient ~ velocity^0.8 (Dittus–Boelter form, any heat-transfer
# textbook).
FILM_EXPONENT = 0.8
# Condensing temperature above which no unit keeps running [°C]: engineering estimate. Technicians
# set a high-pressure switch 30 °F above the hottest day's condensing temperature, 135 to 140 °F
# (525 to 550 psi with R410A); some open at 600 psi, 64 °C.
TRIPS = 60.0
# Condensing temperature that no unit should exceed on the hottest day [°C]: engineering estimate,
# 10 °F over the 105 to 110 °F from which that switch is set.
HOT_LIMIT = 49.0
# Condensing temperature from which a unit's own limits decide whether it runs on [°C]: engineering
# estimate, a little over the 110 °F of the hottest day above.
OWN_LIMITS = 45.0


@dataclass(frozen=True)
class Exchanger:
    """Deviations of a condenser from its rating, each a number or an array.

    ua, fouling : factor on the rated UA, and added resistance as a share of the rated 1/UA; see
        `conductance`.
    heat : factor on the heat that the unit rejects.
    """

    ua: ArrayLike = 1.0
    fouling: ArrayLike = 0.0
    heat: ArrayLike = 1.0


AS_RATED = Exchanger()


def runs_on(condensing: ArrayLike) -> NDArray[np.bool_]:
    """Whether a unit that would condense at this temperature [°C] keeps running, or trips.

    A tripped unit has no temperature rise or condensing temperature to read, and none is reported.
    """
    return np.asarray(np.asarray(condensing, dtype=float) <= TRIPS)


def water_rise(rejected_heat: float, flow: ArrayLike, water: Water) -> Array:
    """Temperature rise of the water [K] through the condenser.

    Parameters
    ----------
    rejected_heat : float
        Heat rejected to the water [W], 0 or more.
    flow : float or array
        Flow through the condenser [m³/s], in either direction; infinite rise where it is 0.
    water : Water

    Notes
    -----
    Heat balance: ΔT = reject/(ρ Q cp).

    Examples
    --------
    12,000 BTU/h plus the compressor's heat, at 180 gal/h of seawater at 85 °F, in °F:

    >>> sea = Water(temperature=29.444, salinity=35.0)
    >>> print(f"{float(water_rise(4396.07, 1.892706e-4, sea)) * 1.8:.1f}")
    10.2
    """
    flow = np.asarray(flow, dtype=float)
    capacity_rate = water.density * water.heat_capacity * np.abs(flow)
    rise = np.full(capacity_rate.shape, np.inf)
    return np.asarray(np.divide(rejected_heat, capacity_rate, out=rise, where=capacity_rate > 0))


@cache
def rated_conductance(unit: Unit, water: Water) -> float:
    """UA of a clean condenser [W/K] at its required flow, from its approach there.

    At a uniform condensing temperature, effectiveness is 1 − exp(−NTU), so that the approach,
    condensing minus leaving water temperature, is ΔT/(exp(NTU) − 1); hence NTU = ln(1 +
    ΔT/approach).

    Source: effectiveness–NTU relation, Kays & London, Compact Heat Exchangers; Incropera & DeWitt.
    """
    rise = float(water_rise(unit.rejected_heat, unit.needed_flow, water))
    transfer_units = np.log1p(rise / unit.approach)
    return float(transfer_units * water.density * water.heat_capacity * unit.needed_flow)


def conductance(
    unit: Unit, flow: ArrayLike, water: Water, ua: ArrayLike = 1.0, fouling: ArrayLike = 0.0
) -> Array:
    """UA of a condenser [W/K] at `flow` [m³/s], in either direction.

    1/UA = [w (Q/Q_r)^−0.8 + 1 − w + fouling]/UA_r, with w = 0.5 of the resistance on the water side
    (an engineering estimate). `ua` multiplies UA_r (a fitted condenser); `fouling` is the
    resistance added by biofilm or scale, as a share of the clean condenser's 1/UA_r.
    """
    ratio = np.maximum(np.abs(np.asarray(flow, dtype=float)), 1e-12) / unit.needed_flow
    resistance = WATER_SHARE * ratio**-FILM_EXPONENT + 1 - WATER_SHARE + np.asarray(fouling)
    return np.asarray(rated_conductance(unit, water) * np.asarray(ua) / resistance)


def condensing_temperature(
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    water: Water,
    exchanger: Exchanger = AS_RATED,
) -> Array:
    """Condensing temperature [°C] at which the unit rejects its heat to this flow.

    Parameters
    ----------
    unit : Unit
    flow : float or array
        Flow through the condenser [m³/s], in either direction; infinite temperature where it is 0.
    inlet_temperature : float or array
        Temperature of the entering water [°C]: the sea's plus the rise in units upstream
        (`inlet_rises`); broadcasts with `flow`.
    water : Water
        Its density and heat capacity, nearly independent of temperature.
    exchanger : Exchanger
        Deviations of the condenser; broadcasts with `flow`.

    Notes
    -----
    T_c = T_in + ΔT/(1 − exp(−NTU)), NTU = UA/(ρ Q cp). At a uniform condensing temperature the
    direction of flow does not matter. The rejected heat is fixed; or, if the job states the unit's
    draw, it is the cooling plus that draw, which rises with T_c: T_c = T_in + R (q_c + a + b T_c)
    is solved for T_c, unbounded where R b is 1 or more. Above `OWN_LIMITS` the compressor's own
    limits govern, and above `TRIPS` the value only means that the unit trips.
    """
    flow, inlet = np.asarray(flow, dtype=float), np.asarray(inlet_temperature, dtype=float)
    factor = np.asarray(exchanger.heat, dtype=float)
    per_watt = water_rise(1.0, flow, water)
    capacity_rate = water.density * water.heat_capacity * np.maximum(np.abs(flow), 1e-12)
    transfer_units = conductance(unit, flow, water, exchanger.ua, exchanger.fouling) / capacity_rate
    per_watt = _product(factor, per_watt / -np.expm1(-transfer_units))
    line = unit.power_line
    if line is None:
        return np.asarray(inlet + unit.rejected_heat * per_watt)
    constant = inlet + per_watt * (unit.cooling + line.power(MIN_CONDENSING))
    bounded = line.slope * per_watt < 1
    denominator = np.where(bounded, 1 - line.slope * per_watt, 1.0)
    solution = (inlet + per_watt * (unit.cooling + line.at_zero)) / denominator
    rising = np.where(bounded, solution, np.inf)
    return np.asarray(np.where(constant < MIN_CONDENSING, constant, rising))


def unit_rise(
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    water: Water,
    exchanger: Exchanger = AS_RATED,
) -> Array:
    """Temperature rise of the water [K] in a unit's condenser; parameters as above.

    The heat is that of `condensing_temperature`: it depends on the temperature of the entering
    water only if the job states what the unit draws.
    """
    line = unit.power_line
    per_watt = _product(np.asarray(exchanger.heat, dtype=float), water_rise(1.0, flow, water))
    if line is None:
        return np.asarray(unit.rejected_heat * per_watt)
    condensing = condensing_temperature(unit, flow, inlet_temperature, water, exchanger)
    power = line.at_zero + line.slope * np.maximum(condensing, MIN_CONDENSING)
    return np.asarray(per_watt * (unit.cooling + power))


def _product(heat: Array, per_watt: Array) -> Array:
    """Heat times its effect per watt, 0 where there is no heat, even in standing water."""
    product = np.multiply(heat, per_watt, where=heat > 0, out=np.zeros(np.broadcast_shapes(
        heat.shape, per_watt.shape)))  # fmt: skip
    return np.asarray(product)
