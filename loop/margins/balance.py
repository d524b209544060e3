"""Several units on one pump: the throttling that gives each the same share of its need."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from loop.curve import Array
from loop.hydraulics import Cases, Network, solve_flows
from loop.parts.friction import velocity_head
from loop.parts.seacock import angle_adding

_ROUNDS = 60
# How a nested branch is named after the one it lies in.
_INSIDE = " / "

# Name of a unit, index of its condenser, needed flow [m³/s].
Unit = tuple[str, int, float]


@dataclass(frozen=True)
class Throttle:
    """A valve to part-close: the unit on whose branch, K to add on `bore` [m], handle angle [deg].

    The angle is measured from fully open; `flow` [m³/s] is what the branch then carries.
    """

    unit: str
    coefficient: float
    bore: float
    angle: float
    flow: float


@dataclass(frozen=True)
class Balance:
    """Throttling that gives every branch the same share of its need.

    ``share`` is the flow over need that every unit then has at least; ``total_flow`` [m³/s] and
    ``pump_head`` [m] what the pump then does; ``throttles`` the valves to part-close, none on the
    branch that needs it least.
    """

    share: float
    total_flow: float
    pump_head: float
    throttles: tuple[Throttle, ...]


def balance(network: Network) -> Balance | None:
    """The balance of a network's units, or None where there is nothing to balance.

    Loss is added to the greedy branches, as a factor on a condenser's own, until flow over need
    is the same for all: a line whose flow is x times its even share needs x² times its loss, which
    is repeated until it stands still. A unit whose line is shut is left out. Units in line share
    one valve, set for the one that needs most; a unit on a line that feeds others has none.
    """
    units = open_units(network)
    valves = _valves(network, units)
    return _even(network, units, valves, 1.0) if len(valves) > 1 else None


def duty(network: Network, share: float = 1.0) -> tuple[float, float] | None:
    """Pump head [m] and flow [m³/s] that give every unit `share` times its need, balanced.

    What a loop takes does not depend on the pump that drives it: the pump of the job is run faster
    or slower (affinity laws) until the flows are right. Shut units are left out. None where no
    pump of 1/16 to 64 times the head would do.
    """
    units = open_units(network)
    valves = _valves(network, units)

    def miss(log_speed: float) -> float:
        even = _even(network, units, valves, float(np.exp(log_speed)))
        return float(np.log(max(even.share, 1e-6) / share))

    low, high = np.log(0.25), np.log(8.0)
    if not units or miss(low) > 0 or miss(high) < 0:
        return None
    speed = float(np.exp(brentq(miss, low, high, xtol=1e-4)))
    even = _even(network, units, valves, speed)
    return even.pump_head, even.total_flow


def throttle(network: Network, unit: str, flow: float) -> Throttle:
    """The valve on a unit's branch that leaves it `flow` [m³/s], less than it has now."""
    index = network.condenser_part(unit)
    factor = np.geomspace(1.0, 1e6, 121)
    loss = np.ones((len(factor), len(network.parts)))
    loss[:, index] = factor
    left = solve_flows(network, Cases(loss=loss)).line_flow[:, network.line_of[index]]
    times = float(np.exp(np.interp(-flow, -left, np.log(factor))))
    return _throttle(network, unit, index, times, flow)


def _even(network: Network, units: list[Unit], valves: list[Unit], speed: float) -> Balance:
    """The balance by these valves, with the pump at `speed` times its speed in the job."""
    index = np.array([i for _, i, _ in valves], dtype=int)
    need = np.array([n for _, _, n in valves])
    lines = np.array([network.line_of[i] for i in index], dtype=int)
    factor = np.ones(len(valves))
    flows = solve_flows(network, _cases(network, index, factor, speed))
    for _ in range(_ROUNDS if len(valves) > 1 else 0):
        share = flows.line_flow[0, lines] / need
        if share.max() <= 0 or share.max() / max(share.min(), 1e-12) < 1 + 1e-6:
            break
        middle = np.exp(np.mean(np.log(np.maximum(share, 1e-3))))
        over = np.clip(share / middle, 0.5, 2.0) ** 2 - 1
        factor = factor + over * (_line_over_part(network, index, flows.line_flow[0]) + factor - 1)
        factor = np.maximum(factor - factor.min() + 1, 1.0)
        cases = _cases(network, index, factor, speed)
        flows = solve_flows(network, cases, start=flows.line_flow)
    line_flow = flows.line_flow[0]
    return Balance(
        share=min(float(line_flow[network.line_of[i]]) / n for _, i, n in units),
        total_flow=float(line_flow[network.pump_line]),
        pump_head=float(flows.pump_head[0]),
        throttles=tuple(
            _throttle(network, name, i, float(times), float(line_flow[network.line_of[i]]))
            for (name, i, _), times in zip(valves, factor, strict=True)
            if times > 1.02 and line_flow[network.line_of[i]] > 0
        ),
    )


def _valves(network: Network, units: list[Unit]) -> list[Unit]:
    """Of each branch the unit that needs most; none of a branch that feeds other units' branches.

    Such a branch cannot be throttled for its own unit alone.
    """
    most: dict[str, Unit] = {}
    for unit in units:
        branch = network.branches[unit[1]]
        if branch not in most or unit[2] > most[branch][2]:
            most[branch] = unit
    feeding = {outer for branch in most for outer in _around(branch) if outer != branch}
    return [unit for branch, unit in most.items() if branch not in feeding]


def _around(branch: str) -> list[str]:
    """A branch and all that it lies in, the main line ``""`` first."""
    names = branch.split(_INSIDE) if branch else []
    return [_INSIDE.join(names[:depth]) for depth in range(len(names) + 1)]


def _line_over_part(network: Network, index: NDArray[np.intp], line_flow: Array) -> Array:
    """Loss of the whole line that each part is on, over the part's own loss."""
    ratios = []
    for i in index:
        line = network.lines[network.line_of[i]]
        flow = max(float(line_flow[network.line_of[i]]), 1e-9)
        whole = sum(network.parts[j].head_loss(flow, network.water) for j in line.parts)
        ratios.append(whole / network.parts[i].head_loss(flow, network.water))
    return np.array(ratios)


def _throttle(network: Network, unit: str, index: int, times: float, flow: float) -> Throttle:
    """The valve that takes what multiplying a condenser's loss by `times` takes, at `flow`."""
    bore = network.parts[index].inner_bore
    extra = (times - 1) * network.parts[index].head_loss(flow, network.water)
    coefficient = float(network.job.fitted.loss * extra / velocity_head(flow, bore))
    return Throttle(unit, coefficient, bore, angle_adding(coefficient), flow)


def open_units(network: Network) -> list[Unit]:
    """Name, part and need of each unit that no shut valve keeps from its water."""
    shut = shut_parts(network)
    parts = [(unit, network.condenser_part(unit.name)) for unit in network.job.condenser]
    return [
        (unit.name, i, unit.needed_flow) for unit, i in parts if not shut_on_way(network, shut, i)
    ]


def shut_parts(network: Network) -> list[int]:
    """The parts that let nothing through."""
    return [i for i, part in enumerate(network.parts) if part.shut]


def shut_on_way(network: Network, shut: list[int], index: int) -> list[int]:
    """Those of the shut parts that keep the water from a part: in its branch, or around that."""
    around = _around(network.branches[index]) if shut else []
    return [i for i in shut if network.branches[i] in around]


def _cases(network: Network, index: NDArray[np.intp], factor: Array, speed: float) -> Cases:
    loss = np.ones((1, len(network.parts)))
    loss[0, index] = factor
    return Cases(speed=np.array([speed]), loss=loss)
