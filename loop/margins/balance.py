"""Several units on one pump: the throttling that gives each the same share of its need."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, solve_flows
from loop.parts.friction import velocity_head
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, angle_adding

_ROUNDS = 40
# Rounds that may pass without coming nearer: branches that push each other off will not balance.
_PATIENCE = 8
# Shares of the need that are alike, for the duty of a pump that is still to be found.
_CLOSE = 1e-4
# How a nested branch is named after the one it lies in.
_INSIDE = " / "

# Name of a unit, index of its condenser, needed flow [m³/s].
Unit = tuple[str, int, float]


@dataclass(frozen=True)
class Throttle:
    """A valve to part-close: the unit on whose branch, K to add on `bore` [m], handle angle [deg].

    The angle is measured from fully open, in whole degrees where it belongs to a `Balance`: no hand
    sets it finer; `flow` [m³/s] is what the branch then carries. A K beyond any ball valve's has
    the angle at which one shuts.
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
    chosen = valves(network, units)
    return (
        _whole_degrees(network, units, _even(network, units, chosen)) if len(chosen) > 1 else None
    )


def duty(network: Network, share: float = 1.0) -> tuple[float, float] | None:
    """Pump head [m] and flow [m³/s] that give every unit `share` times its need, balanced.

    What a loop takes does not depend on the pump that drives it: the pump of the job is run faster
    or slower (affinity laws) until the flows are right. Shut units are left out. None where no
    pump of up to 64 times the head would do.
    """
    units = open_units(network)
    if not units:
        return None
    even = _even(network, units, valves(network, units), share)
    return (even.pump_head, even.total_flow) if abs(even.share / share - 1) < 1e-3 else None


def throttle(network: Network, unit: str, flow: float) -> Throttle:
    """The valve on a unit's branch that leaves it `flow` [m³/s], less than it has now."""
    index = network.condenser_part(unit)
    factor = np.geomspace(1.0, 1e5, 61)
    loss = np.ones((len(factor), len(network.parts)))
    loss[:, index] = factor
    left = solve_flows(network, Cases(loss=loss)).line_flow[:, network.line_of[index]]
    times = float(np.exp(np.interp(-flow, -left, np.log(factor))))
    return _throttle(network, unit, index, times, flow)


def _even(
    network: Network, units: list[Unit], chosen: list[Unit], aim: float | None = None
) -> Balance:
    """The balance by the valves of the chosen units.

    With `aim`, the pump's speed is changed until the unit with the least has that share.
    """
    index = np.array([i for _, i, _ in chosen])
    need = np.array([n for _, _, n in chosen])
    lines = np.array([network.line_of[i] for i in index])
    factor, speed = np.ones(len(chosen)), 1.0
    eager, below = 0.6, True
    flows = solve_flows(network, _cases(network, index, factor, speed))
    kept, least_error, stale = (flows, factor), np.inf, 0
    for _ in range(_ROUNDS):
        share = flows.line_flow[0, lines] / need
        least = _least(network, units, flows.line_flow[0])
        if not flows.settled[0] or (aim is None and share.max() <= 0):
            break  # valves so nearly shut that the flows cannot be told: no balance is near
        uneven = share.max() / max(share.min(), 1e-12) - 1
        error = uneven if aim is None else max(uneven, abs(least / aim - 1))
        stale += 1
        if error < least_error:
            kept, least_error, stale = (flows, factor), error, 0
        if error < _CLOSE or stale > _PATIENCE:
            break
        factor = _more_even(share, factor, _line_over_part(network, index, flows.line_flow[0]))
        if aim is not None:
            # Flow goes with speed, and more steeply where the pump lifts: smaller steps from the
            # first that goes too far.
            eager *= 0.5 if (least < aim) != below else 1.0
            below = least < aim
            faster = np.clip((aim / max(least, 1e-3)) ** eager, 0.7, 1.5)
            speed = float(np.clip(speed * faster, 0.05, 8.0))
        cases = _cases(network, index, factor, speed)
        flows = solve_flows(network, cases, start=flows.line_flow)
    flows, factor = kept
    line_flow = flows.line_flow[0]
    return _balance(
        network,
        units,
        flows,
        tuple(
            _throttle(network, name, i, float(times), float(line_flow[network.line_of[i]]))
            for (name, i, _), times in zip(chosen, factor, strict=True)
            if times > 1.02 and line_flow[network.line_of[i]] > 0
        ),
    )


def _more_even(share: Array, factor: Array, line_over_part: Array) -> Array:
    """Factors on the condensers' losses that bring the shares together, the least of them 1."""
    middle = np.exp(np.mean(np.log(np.maximum(share, 1e-3))))
    over = np.clip(share / middle, 0.5, 2.0) ** 2 - 1
    added = factor + over * (line_over_part + factor - 1)
    return np.asarray(np.maximum(added - added.min() + 1, 1.0))


def _balance(
    network: Network, units: list[Unit], flows: Flows, throttles: tuple[Throttle, ...]
) -> Balance:
    return Balance(
        share=_least(network, units, flows.line_flow[0]),
        total_flow=float(flows.line_flow[0, network.pump_line]),
        pump_head=float(flows.pump_head[0]),
        throttles=throttles,
    )


def _least(network: Network, units: list[Unit], line_flow: Array) -> float:
    """Flow over need of the unit that gets the least of it."""
    return min(float(line_flow[network.line_of[i]]) / need for _, i, need in units)


def _whole_degrees(network: Network, units: list[Unit], even: Balance) -> Balance:
    """What a balance comes to with its valves set to whole degrees, and K and flows to match."""
    angles = [min(round(valve.angle), SHUT_ANGLE) for valve in even.throttles]
    set_to = [
        replace(valve, angle=float(angle), coefficient=added_coefficient(angle))
        if angle < SHUT_ANGLE
        else valve
        for valve, angle in zip(even.throttles, angles, strict=True)
    ]
    index = np.array([network.condenser_part(valve.unit) for valve in set_to], dtype=np.intp)
    factor = np.array([_factor(network, i, v) for i, v in zip(index, set_to, strict=True)])
    flows = solve_flows(network, _cases(network, index, factor, 1.0))
    line_flow = flows.line_flow[0]
    return _balance(
        network,
        units,
        flows,
        tuple(
            replace(valve, flow=float(line_flow[network.line_of[i]]))
            for i, valve in zip(index, set_to, strict=True)
        ),
    )


def _factor(network: Network, index: int, valve: Throttle) -> float:
    """Factor on a condenser's loss that stands for a valve beside it."""
    own = network.job.fitted.loss * network.parts[index].head_loss(valve.flow, network.water)
    return 1.0 + valve.coefficient * velocity_head(valve.flow, valve.bore) / own


def valves(network: Network, units: list[Unit]) -> list[Unit]:
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
