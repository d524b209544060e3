"""Units in their loop: how much the water that reaches each was warmed by those upstream."""

import numpy as np
from numpy.typing import ArrayLike

from loop.curve import Array
from loop.hydraulics import Network
from loop.job import Unit
from loop.margins.heat import (
    AS_RATED,
    TRIPS,
    Exchanger,
    condensing_temperature,
    unit_rise,
    water_rise,
)
from loop.parts import Condenser

# Most passes with recirculation: with 90 % returning, they leave 1e-9 of the error.
_ROUNDS = 200


def fouling_of(network: Network) -> Array:
    """Resistance that scale adds to each condenser, as a share of its clean 1/UA, (units,).

    From the scale stated in the job; 0 for a clean condenser.
    """
    parts = (network.parts[network.condenser_part(unit.name)] for unit in network.job.condenser)
    return np.array([part.fouling if isinstance(part, Condenser) else 0.0 for part in parts])


def condensing_in_loop(
    network: Network,
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    exchanger: Exchanger = AS_RATED,
) -> Array:
    """`condensing_temperature` [°C] of a unit in its loop, with its scale and baseline fit.

    `exchanger` applies in addition to what the job states.
    """
    combined = _combined(network, unit, exchanger)
    return condensing_temperature(unit, flow, inlet_temperature, network.water, combined)


def rise_in_loop(
    network: Network,
    unit: Unit,
    flow: ArrayLike,
    inlet_temperature: ArrayLike,
    exchanger: Exchanger = AS_RATED,
) -> Array:
    """`unit_rise` [K] of a unit in its loop; parameters as `condensing_in_loop`."""
    combined = _combined(network, unit, exchanger)
    return unit_rise(unit, flow, inlet_temperature, network.water, combined)


def _combined(network: Network, unit: Unit, exchanger: Exchanger) -> Exchanger:
    part = network.parts[network.condenser_part(unit.name)]
    scale = part.fouling if isinstance(part, Condenser) else 0.0
    fitted = network.job.fitted.ua * np.asarray(exchanger.ua)
    return Exchanger(fitted, scale + np.asarray(exchanger.fouling), exchanger.heat)


def inlet_rises(
    network: Network, line_flow: ArrayLike, sea_temperature: ArrayLike, heat: ArrayLike = 1.0
) -> Array:
    """How much warmer than the sea the water is that reaches each unit [K].

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
        In the order of the job's units; 0 where the water comes directly from the sea or stands.

    Notes
    -----
    Heat balance along the flow: a unit adds reject/(ρ Q cp); where lines meet, their flows mix, T =
    Σ Q T / Σ Q, with ρ cp that of the sea throughout. No water leaves a unit warmer than `TRIPS`: a
    unit that hot has stopped.
    """
    flow = np.atleast_2d(np.asarray(line_flow, dtype=float))
    sea = np.broadcast_to(np.asarray(sea_temperature, dtype=float), len(flow))
    warming = _Warming(network, flow, sea, np.broadcast_to(np.asarray(heat), len(flow)))
    joints = np.zeros((len(flow), network.joints))
    arriving = np.zeros((len(flow), len(network.job.condenser)))
    # Each pass fixes at least the next joint along the flow. Where a tee's suction recirculates a
    # little water, the effect of the returning heat decays from pass to pass.
    for _ in range(network.joints + _ROUNDS):
        previous = joints
        arriving, joints = _sweep(network, flow, warming, previous)
        if (np.abs(joints - previous) <= 1e-9).all():
            break
    return arriving


class _Warming:
    """Temperature rise that each unit adds, in cases of line flows, (n, lines)."""

    def __init__(self, network: Network, flow: Array, sea: Array, heat: Array) -> None:
        self.network, self.sea, self.heat = network, sea, heat
        units, water = network.job.condenser, network.water
        self.flow = flow[:, [network.unit_line(u.name) for u in units]]
        self.fixed = [
            None if unit.power_line else heat * water_rise(unit.rejected_heat, through, water)
            for unit, through in zip(units, self.flow.T, strict=True)
        ]

    def leaving(self, number: int, warmth: Array) -> Array:
        """Temperature above the sea's [K] of water leaving a unit, from that entering, (n,).

        No water leaves warmer than `TRIPS`: a unit that hot has stopped.
        """
        added = self.fixed[number]
        if added is None:
            unit = self.network.job.condenser[number]
            inlet, exchanger = self.sea + warmth, Exchanger(heat=self.heat)
            added = rise_in_loop(self.network, unit, self.flow[:, number], inlet, exchanger)
        return np.minimum(warmth + added, TRIPS - self.sea)


def _sweep(network: Network, flow: Array, warming: _Warming, joints: Array) -> tuple[Array, Array]:
    """Temperature above the sea's [K] at each unit, and at each joint after mixing."""
    arriving = np.zeros((len(flow), len(network.job.condenser)))
    heat_flow, total = np.zeros_like(joints), np.zeros_like(joints)
    for number, units in enumerate(_units_by_line(network)):
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
                heat_flow[:, end] += amount * at
                total[:, end] += amount
    return arriving, np.divide(heat_flow, total, out=np.zeros_like(heat_flow), where=total > 0)


def _units_by_line(network: Network) -> list[list[int]]:
    """Indices of the units on each line, in the order of the file."""
    units = {network.condenser_part(u.name): n for n, u in enumerate(network.job.condenser)}
    return [[units[index] for index in line.parts if index in units] for line in network.lines]


def units_upstream(network: Network, line_flow: Array, unit: str) -> tuple[str, ...]:
    """Names of the units that a unit's water has passed through, in the job's order.

    `line_flow` is the flow of each line [m³/s], shape (lines,).
    """
    names, units = [one.name for one in network.job.condenser], _units_by_line(network)
    own_line = network.unit_line(unit)
    if not line_flow[own_line]:
        return ()
    position = units[own_line].index(names.index(unit))
    found = {
        *(
            units[own_line][:position]
            if line_flow[own_line] > 0
            else units[own_line][position + 1 :]
        )
    }
    seen, queue = {own_line}, [own_line]
    while queue:
        feeding = feeding_lines(network, line_flow, source_joint(network, line_flow, queue.pop()))
        queue += (unseen := [line for line in feeding if line not in seen])
        seen.update(unseen)
        found.update(*(units[line] for line in unseen))
    return tuple(names[number] for number in sorted(found))


def source_joint(network: Network, line_flow: Array, number: int) -> int:
    """The joint, or the sea (below 0), that a line takes its water from."""
    line = network.lines[number]
    return line.start if line_flow[number] > 0 else line.end


def feeding_lines(network: Network, line_flow: Array, joint: int) -> list[int]:
    """The lines that bring water to a joint; empty for the sea."""
    return [
        number
        for number, line in enumerate(network.lines)
        if joint >= 0
        and (
            (line_flow[number] > 0 and line.end == joint)
            or (line_flow[number] < 0 and line.start == joint)
        )
    ]


def recirculates(network: Network, line_flow: Array) -> bool:
    """Whether some water recirculates to a joint that it has already passed.

    `line_flow` is the flow of each line [m³/s], shape (lines,).
    """
    pending = {
        joint: {
            source_joint(network, line_flow, line)
            for line in feeding_lines(network, line_flow, joint)
        }
        for joint in range(network.joints)
    }
    while done := [joint for joint, sources in pending.items() if not sources & pending.keys()]:
        for joint in done:
            del pending[joint]
    return bool(pending)
