"""Several units on one pump: the throttling that gives each the same share of its need."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics import Cases, Network, solve_flows
from loop.parts.friction import velocity_head
from loop.parts.seacock import angle_adding

_ROUNDS = 60


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
    """Throttling that gives every unit the same share of its need.

    ``share`` is flow over need of every unit; ``total_flow`` [m³/s] and ``pump_head`` [m] what the
    pump then does; ``throttles`` the valves to part-close, none on the branch that needs it least.
    """

    share: float
    total_flow: float
    pump_head: float
    throttles: tuple[Throttle, ...]


def balance(network: Network) -> Balance | None:
    """The balance of a network's units, or None where there is nothing to balance.

    Loss is added to the greedy branches, as a factor on each condenser's own, until flow over need
    is the same for all: a line whose flow is x times its even share needs x² times its loss, which
    is repeated until it stands still. A unit whose line is shut is left out.
    """
    units = open_units(network)
    if len({network.line_of[index] for _, index, _ in units}) < 2:
        return None
    index = np.array([i for _, i, _ in units])
    need = np.array([n for _, _, n in units])
    lines = np.array([network.line_of[i] for i in index])
    factor = np.ones(len(units))
    start = None
    for _ in range(_ROUNDS):
        flows = solve_flows(network, _cases(network, index, factor), start=start)
        start = flows.line_flow
        share = flows.line_flow[0, lines] / need
        if share.max() <= 0 or share.max() / max(share.min(), 1e-12) < 1 + 1e-6:
            break
        middle = np.exp(np.mean(np.log(np.maximum(share, 1e-3))))
        over = np.clip(share / middle, 0.5, 2.0) ** 2 - 1
        factor = factor + over * (_line_over_part(network, index, flows.line_flow[0]) + factor - 1)
        factor = np.maximum(factor - factor.min() + 1, 1.0)
    return _as_balance(network, units, factor, flows.line_flow[0], float(flows.pump_head[0]))


def _line_over_part(network: Network, index: NDArray[np.intp], line_flow: Array) -> Array:
    """Loss of the whole line that each part is on, over the part's own loss."""
    ratios = []
    for i in index:
        line = network.lines[network.line_of[i]]
        flow = max(float(line_flow[network.line_of[i]]), 1e-9)
        whole = sum(network.parts[j].head_loss(flow, network.water) for j in line.parts)
        ratios.append(whole / network.parts[i].head_loss(flow, network.water))
    return np.array(ratios)


def _as_balance(
    network: Network,
    units: list[tuple[str, int, float]],
    factor: Array,
    line_flow: Array,
    pump_head: float,
) -> Balance:
    throttles = []
    shares = []
    for (name, index, need), times in zip(units, factor, strict=True):
        flow = float(line_flow[network.line_of[index]])
        shares.append(flow / need)
        if times > 1.02 and flow > 0:
            bore = network.parts[index].inner_bore
            extra = (times - 1) * network.parts[index].head_loss(flow, network.water)
            coefficient = float(network.job.fitted.loss * extra / velocity_head(flow, bore))
            throttles.append(Throttle(name, coefficient, bore, angle_adding(coefficient), flow))
    return Balance(
        share=min(shares),
        total_flow=float(line_flow[network.pump_line]),
        pump_head=pump_head,
        throttles=tuple(throttles),
    )


def open_units(network: Network) -> list[tuple[str, int, float]]:
    """Name, part and need of each unit through which water can flow."""
    flows = solve_flows(network).line_flow[0]
    found = []
    for unit in network.job.condenser:
        index = network.condenser_part(unit.name)
        line = network.lines[network.line_of[index]]
        if not line.shut and (flows[network.line_of[index]] > 0 or not _cut_off(network, index)):
            found.append((unit.name, index, unit.needed_flow))
    return found


def _cut_off(network: Network, index: int) -> bool:
    """Whether a shut valve elsewhere in the same branch stops a part's line."""
    branch = network.branches[index]
    return any(
        part.shut and branch.startswith(network.branches[i]) for i, part in enumerate(network.parts)
    )


def _cases(network: Network, index: NDArray[np.intp], factor: Array) -> Cases:
    loss = np.ones((1, len(network.parts)))
    loss[0, index] = factor
    return Cases(loss=loss)
