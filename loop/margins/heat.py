"""What the flow means to the condenser: how much the water warms, and where the unit condenses."""

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from loop.curve import Array
from loop.hydraulics import Network
from loop.job import Unit
from loop.job.electrical import LEAST_CONDENSING
from loop.parts import Condenser
from loop.seawater import Water

# Share of the condenser's thermal resistance that lies on the water side at the needed flow:
# engineering estimate.
WATER_SHARE = 0.5
# Turbulent flow in a tube: film coefficient ~ velocity^0.8 (Dittus–Boelter form, any heat-transfer
# textbook).
FILM_EXPONENT = 0.8
# Condensing temperature past which no unit runs on [°C]: engineering estimate. Technicians set a
# high-pressure switch 30 °F over the hottest day's condensing temperature, 135 to 140 °F (525 to
# 550 psi with R410A); some open at 600 psi, 64 °C.
TRIPS = 60.0
# Condensing temperature past which no unit should run on the hottest day [°C]: engineering
# estimate, 10 °F over the 105 to 110 °F from which that switch is set.
HOT = 49.0
# Passes granted to water that goes round: nine parts in ten coming back leave 1e-9 of the error.
_ROUNDS = 200


def water_rise(rejected_heat: float, flow: ArrayLike, water: Water) -> Array:
    """Rise of the water's temperature [K] on its way through the condenser.

    Parameters
    ----------
    rejected_heat : float
        Heat that the water carries away [W], 0 or more.
    flow : float or array
        Flow through the condenser [m³/s], whichever way it runs; infinite rise where it is 0.
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
    carried = water.density * water.heat_capacity * np.abs(flow)
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
    """UA of a condenser [W/K] at `flow` [m³/s], whichever way it runs.

    1/UA = [w (Q/Q_r)^−0.8 + 1 − w]/UA_r + fouling, w = 0.5 of the resistance on the water side (an
    engineering estimate). `ua` multiplies UA_r (a fitted condenser); `fouling` is the resistance
    that a film or scale adds, as a share of the clean condenser's 1/UA_r.
    """
    ratio = np.maximum(np.abs(np.asarray(flow, dtype=float)), 1e-12) / unit.needed_flow
    resistance = WATER_SHARE * ratio**-FILM_EXPONENT + 1 - WATER_SHARE + np.asarray(fouling)
    return np.asarray(rated_conductance(unit, water) * np.asarray(ua) / resistance)


def condensing_temperature(
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    water: Water,
    *,
    ua: ArrayLike = 1.0,
    fouling: ArrayLike = 0.0,
    heat: ArrayLike = 1.0,
) -> Array:
    """Condensing temperature [°C] that rejects the unit's heat into this flow.

    Parameters
    ----------
    unit : Unit
    flow : float or array
        Flow through the condenser [m³/s], whichever way it runs; infinite temperature where it
        is 0.
    inlet_temperature : float or array
        Temperature of the water that comes in [°C], the sea's and what the units before have added
        (`inlet_rises`); broadcasts with `flow`.
    water : Water
        Its density and heat capacity, which hardly change with temperature.
    ua, fouling : float or array
        Factor on the rated UA, and added resistance as a share of it; see `conductance`.
    heat : float or array
        Factor on the heat that the unit rejects.

    Notes
    -----
    T_c = T_in + ΔT/(1 − exp(−NTU)), NTU = UA/(ρ Q cp). A condenser at one temperature does not
    care which way the water runs. The heat is fixed; or, where the job states what the unit draws,
    its cooling and that draw, which rises with T_c: the line T_c = T_in + R (q_c + a + b T_c) is
    solved for T_c, and where R b is 1 or more nothing bounds it. Past some 45 °C the compressor's
    own limits rule, and past `TRIPS` the figure only says that the unit will trip.
    """
    flow, inlet = np.asarray(flow, dtype=float), np.asarray(inlet_temperature, dtype=float)
    factor = np.asarray(heat, dtype=float)
    per_watt = water_rise(1.0, flow, water)
    carried = water.density * water.heat_capacity * np.maximum(np.abs(flow), 1e-12)
    transfer = conductance(unit, flow, water, ua, fouling) / carried
    per_watt = _times(factor, per_watt / -np.expm1(-transfer))
    line = unit.power_line
    if line is None:
        return np.asarray(inlet + unit.rejected_heat * per_watt)
    level = inlet + per_watt * (unit.cooling + line.power(LEAST_CONDENSING))
    bounded = line.slope * per_watt < 1
    room = np.where(bounded, 1 - line.slope * per_watt, 1.0)
    solved = (inlet + per_watt * (unit.cooling + line.at_zero)) / room
    hot = np.where(bounded, solved, np.inf)
    return np.asarray(np.where(level < LEAST_CONDENSING, level, hot))


def unit_rise(
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    water: Water,
    *,
    ua: ArrayLike = 1.0,
    fouling: ArrayLike = 0.0,
    heat: ArrayLike = 1.0,
) -> Array:
    """Rise of the water's temperature [K] in a unit's condenser; parameters as above.

    The heat is that of `condensing_temperature`: it hangs on the temperature of the water that
    comes only where the job states what the unit draws.
    """
    line = unit.power_line
    per_watt = _times(np.asarray(heat, dtype=float), water_rise(1.0, flow, water))
    if line is None:
        return np.asarray(unit.rejected_heat * per_watt)
    at = condensing_temperature(
        unit, flow, inlet_temperature, water, ua=ua, fouling=fouling, heat=heat
    )
    power = line.at_zero + line.slope * np.maximum(at, LEAST_CONDENSING)
    return np.asarray(per_watt * (unit.cooling + power))


def _times(heat: Array, per_watt: Array) -> Array:
    """Heat on what it does, nothing where there is none: water that stands is not warmed by it."""
    product = np.multiply(heat, per_watt, where=heat > 0, out=np.zeros(np.broadcast_shapes(
        heat.shape, per_watt.shape)))  # fmt: skip
    return np.asarray(product)


def fouling_of(network: Network) -> Array:
    """Resistance that scale adds to each unit's condenser, as a share of its clean 1/UA, (units,).

    What the job states as scale; 0 for a clean one.
    """
    parts = (network.parts[network.condenser_part(unit.name)] for unit in network.job.condenser)
    return np.array([part.fouling if isinstance(part, Condenser) else 0.0 for part in parts])


def condensing_in_loop(
    network: Network,
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    *,
    ua: ArrayLike = 1.0,
    fouling: ArrayLike = 0.0,
    heat: ArrayLike = 1.0,
) -> Array:
    """`condensing_temperature` [°C] of a unit in its loop: with its scale, and its baseline.

    `ua` and `fouling` come on top of what the job has.
    """
    own = _exchanger(network, unit, ua, fouling, heat)
    return condensing_temperature(unit, flow, inlet_temperature, network.water, **own)


def rise_in_loop(
    network: Network,
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    *,
    ua: ArrayLike = 1.0,
    fouling: ArrayLike = 0.0,
    heat: ArrayLike = 1.0,
) -> Array:
    """`unit_rise` [K] of a unit in its loop; parameters as `condensing_in_loop`."""
    own = _exchanger(network, unit, ua, fouling, heat)
    return unit_rise(unit, flow, inlet_temperature, network.water, **own)


def _exchanger(
    network: Network, unit: Unit, ua: ArrayLike, fouling: ArrayLike, heat: ArrayLike
) -> dict[str, Any]:
    part = network.parts[network.condenser_part(unit.name)]
    scale = part.fouling if isinstance(part, Condenser) else 0.0
    fitted = network.job.fitted.ua * np.asarray(ua)
    return {"ua": fitted, "fouling": scale + np.asarray(fouling), "heat": heat}


def inlet_rises(
    network: Network, line_flow: ArrayLike, sea_temperature: ArrayLike, heat: ArrayLike = 1.0
) -> Array:
    """How much warmer than the sea the water is that comes to each unit [K].

    Parameters
    ----------
    network : Network
    line_flow : array, shape (n, lines)
        Flow of each line [m³/s], below 0 where it runs against the order of the file.
    sea_temperature : float or array, shape (n,)
        [°C]; only bounds how warm the water can get.
    heat : float or array, shape (n,)
        Factor on the heat that the units reject.

    Returns
    -------
    array, shape (n, units)
        In the order of the job's units; 0 where the water comes straight from the sea, or stands.

    Notes
    -----
    Heat balance along the water's way: a unit adds reject/(ρ Q cp); where lines meet they mix by
    their flows, T = Σ Q T / Σ Q, with ρ cp taken as the sea's throughout, as everywhere. No water
    leaves a unit warmer than `TRIPS`: a unit that hot has stopped.
    """
    flow = np.atleast_2d(np.asarray(line_flow, dtype=float))
    sea = np.broadcast_to(np.asarray(sea_temperature, dtype=float), len(flow))
    warming = _Warming(network, flow, sea, np.broadcast_to(np.asarray(heat), len(flow)))
    joints = np.zeros((len(flow), network.joints))
    arriving = np.zeros((len(flow), len(network.job.condenser)))
    # Each pass settles the next joint on the water's way at the least. Where a tee's pull sends a
    # little water round, the warmth of what comes back dies away from pass to pass.
    for _ in range(network.joints + _ROUNDS):
        before = joints
        arriving, joints = _pass(network, flow, warming, before)
        if np.allclose(joints, before, rtol=0.0, atol=1e-9):
            break
    return arriving


class _Warming:
    """What each unit adds to the warmth of its water, in cases of flows of lines, (n, lines)."""

    def __init__(self, network: Network, flow: Array, sea: Array, heat: Array) -> None:
        self.network, self.sea, self.heat = network, sea, heat
        units, water = network.job.condenser, network.water
        self.flow = flow[:, [network.line_of[network.condenser_part(u.name)] for u in units]]
        self.fixed = [
            None if unit.power_line else heat * water_rise(unit.rejected_heat, through, water)
            for unit, through in zip(units, self.flow.T, strict=True)
        ]

    def leaving(self, number: int, warmth: Array) -> Array:
        """Warmth over the sea's [K] of the water that leaves a unit, from that which comes, (n,).

        No water leaves warmer than `TRIPS`: a unit that hot has stopped.
        """
        added = self.fixed[number]
        if added is None:
            unit = self.network.job.condenser[number]
            here = self.sea + warmth
            added = rise_in_loop(self.network, unit, self.flow[:, number], here, heat=self.heat)
        return np.minimum(warmth + added, TRIPS - self.sea)


def _pass(network: Network, flow: Array, warming: _Warming, joints: Array) -> tuple[Array, Array]:
    """Warmth over the sea's [K] at each unit, and at each joint as its lines then mix there."""
    arriving = np.zeros((len(flow), len(network.job.condenser)))
    warmth, whole = np.zeros_like(joints), np.zeros_like(joints)
    for number, units in enumerate(_units_of(network)):
        line = network.lines[number]
        for start, end, runs, order in (
            (line.start, line.end, flow[:, number] > 0, units),
            (line.end, line.start, flow[:, number] < 0, units[::-1]),
        ):
            if not runs.any():
                continue
            at = joints[:, start] if start >= 0 else np.zeros(len(flow))
            for unit in order:
                arriving[runs, unit] = at[runs]
                at = warming.leaving(unit, at)
            if end >= 0:
                amount = np.where(runs, np.abs(flow[:, number]), 0.0)
                warmth[:, end] += amount * at
                whole[:, end] += amount
    return arriving, np.divide(warmth, whole, out=np.zeros_like(warmth), where=whole > 0)


def _units_of(network: Network) -> list[list[int]]:
    """Numbers of the units on each line, in the order of the file."""
    units = {network.condenser_part(u.name): n for n, u in enumerate(network.job.condenser)}
    return [[units[index] for index in line.parts if index in units] for line in network.lines]


def passed_before(network: Network, line_flow: Array, unit: str) -> tuple[str, ...]:
    """Names of the units through which a unit's water has come, in the job's order.

    `line_flow` is the flow of each line [m³/s], shape (lines,).
    """
    names, units = [one.name for one in network.job.condenser], _units_of(network)
    own = network.line_of[network.condenser_part(unit)]
    if not line_flow[own]:
        return ()
    place = units[own].index(names.index(unit))
    found = {*(units[own][:place] if line_flow[own] > 0 else units[own][place + 1 :])}
    seen, ways = {own}, [own]
    while ways:
        feeding = lines_into(network, line_flow, origin(network, line_flow, ways.pop()))
        ways += (new := [line for line in feeding if line not in seen])
        seen.update(new)
        found.update(*(units[line] for line in new))
    return tuple(names[number] for number in sorted(found))


def origin(network: Network, line_flow: Array, number: int) -> int:
    """The joint, or the sea (below 0), from which a line takes its water."""
    line = network.lines[number]
    return line.start if line_flow[number] > 0 else line.end


def lines_into(network: Network, line_flow: Array, joint: int) -> list[int]:
    """The lines that bring water to a joint; none bring it to the sea."""
    return [
        number
        for number, line in enumerate(network.lines)
        if joint >= 0
        and (
            (line_flow[number] > 0 and line.end == joint)
            or (line_flow[number] < 0 and line.start == joint)
        )
    ]


def goes_round(network: Network, line_flow: Array) -> bool:
    """Whether some water comes back to a joint at which it was before.

    `line_flow` is the flow of each line [m³/s], shape (lines,).
    """
    before = {
        joint: {origin(network, line_flow, line) for line in lines_into(network, line_flow, joint)}
        for joint in range(network.joints)
    }
    while first := [joint for joint, given in before.items() if not given & before.keys()]:
        for joint in first:
            del before[joint]
    return bool(before)
