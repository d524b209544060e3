"""Findings about several units on one pump: their balance, and what a shut valve does."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loop.check.result import Finding
from loop.check.subject import COMMON, Subject, finding
from loop.curve import Array
from loop.hydraulics import Cases, Network, solve_flows
from loop.margins.speed import PRESSURE_MOST, TUBE_MOST
from loop.parts import Condenser, Hose
from loop.parts.friction import velocity, velocity_head
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, angle_adding

_ROUNDS = 60
# Loss factor that stands for a shut valve: some 1e-5 of the flow is left.
_SHUT = 1e10
# Units whose flow over need differs by less than this are called balanced.
_EVEN = 1.15


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
    units = _open_units(network)
    if len({network.line_of[index] for _, index, _ in units}) < 2:
        return None
    index = np.array([i for _, i, _ in units])
    need = np.array([n for _, _, n in units])
    lines = np.array([network.line_of[i] for i in index])
    factor = np.ones(len(units))
    for _ in range(_ROUNDS):
        flows = solve_flows(network, _cases(network, index, factor))
        share = flows.line_flow[0, lines] / need
        if share.max() <= 0 or share.max() / max(share.min(), 1e-12) < 1 + 1e-6:
            break
        middle = np.exp(np.mean(np.log(np.maximum(share, 1e-3))))
        over = np.clip(share / middle, 0.5, 2.0) ** 2 - 1
        factor = factor + over * (_line_over_part(network, index, flows.line_flow[0]) + factor - 1)
        factor = np.maximum(factor - factor.min() + 1, 1.0)
    return _as_balance(network, units, factor, flows.line_flow[0], float(flows.pump_head[0]))


def _line_over_part(
    network: Network, index: "np.ndarray[tuple[int], np.dtype[np.intp]]", line_flow: Array
) -> Array:
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


def _open_units(network: Network) -> list[tuple[str, int, float]]:
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


def _cases(
    network: Network, index: "np.ndarray[tuple[int], np.dtype[np.intp]]", factor: Array
) -> Cases:
    loss = np.ones((1, len(network.parts)))
    loss[0, index] = factor
    return Cases(loss=loss)


def balance_findings(subject: Subject) -> Iterator[Finding]:
    """unbalanced, cannot-balance, branch-shut: only where branches share a pump."""
    if not subject.network.forks or not subject.flows:
        return
    even = balance(subject.network)
    if even is not None:
        yield from _unbalanced(subject, even)
    yield from _one_shut(subject)


def _unbalanced(subject: Subject, even: Balance) -> Iterator[Finding]:
    shares = {c.name: c.flow / c.needed_flow for c in subject.condensers if c.flow > 0}
    even_enough = not shares or max(shares.values()) / min(shares.values()) < _EVEN
    if not shares or (even_enough and not subject.short):
        return
    greedy, poor = max(shares, key=shares.__getitem__), min(shares, key=shares.__getitem__)
    if even.share < 1:
        head = even.pump_head / even.share**2
        flow = even.total_flow / even.share
        yield finding(
            "cannot-balance",
            "warning",
            "manifold",
            f"even balanced, every unit would get {even.share:.0%} of its need",
            f"it takes a pump of about {subject.say(head, 'head')} at {subject.say(flow, 'flow')}, "
            "or less loss between the pump and the units",
            "losses taken to go with the square of flow: an estimate",
        )
        return
    valves = "; ".join(_valve(subject, throttle) for throttle in even.throttles)
    yield finding(
        "unbalanced",
        "warning" if subject.short else "note",
        "manifold",
        f"{greedy} takes {shares[greedy]:.2f} times its need and {poor} gets {shares[poor]:.2f}",
        f"part-close the valves: {valves}; every unit then gets {even.share:.2f} times its need, "
        f"{subject.say(even.total_flow, 'flow')} in all",
        "balanced on the loop's own curves; valve angles after Weisbach, from memory",
    )


def _valve(subject: Subject, throttle: Throttle) -> str:
    turn = (
        f"a {subject.say(throttle.bore, 'bore')} ball valve {throttle.angle:.0f}° from open"
        if throttle.coefficient < added_coefficient(SHUT_ANGLE)
        else "an orifice, since no ball valve holds so fine a setting"
    )
    return f"{throttle.unit} K {throttle.coefficient:.1f} ({turn})"


def _one_shut(subject: Subject) -> Iterator[Finding]:
    """What the others get when one unit's valve is shut, worst case first."""
    network = subject.network
    units = _open_units(network)
    if len(units) < 2:
        return
    loss = np.ones((len(units), len(network.parts)))
    for row, (_, index, _) in enumerate(units):
        loss[row, index] = _SHUT
    flows = solve_flows(network, Cases(loss=loss))
    worst = max(range(len(units)), key=lambda row: _over_limit(network, flows.line_flow[row])[0])
    over, index = _over_limit(network, flows.line_flow[worst])
    name = units[worst][0]
    others = ", ".join(
        f"{other} {subject.say(float(flows.line_flow[worst, network.line_of[i]]), 'flow')}"
        for row, (other, i, _) in enumerate(units)
        if row != worst
    )
    too_fast = over > 1
    yield finding(
        "branch-shut",
        "warning" if too_fast else "note",
        subject.where(index) if too_fast else "manifold",
        f"with {name} shut the others get {others}"
        + (
            f", and the water runs {over:.1f} times its limit in {subject.name(index)}"
            if too_fast
            else ""
        )
        + "; with all shut the pump runs against a closed line and heats its water",
        ("throttle the branches for that case, or keep " if too_fast else "keep ")
        + "one unit open, or switch the pump with the units",
        f"speed limits: see each; dead-heading: {COMMON}",
    )


def _over_limit(network: Network, line_flow: Array) -> tuple[float, int]:
    """Largest speed over its limit on the pressure side, and the part where it is."""
    worst, where = 0.0, 0
    for index, part in enumerate(network.parts):
        flow = float(line_flow[network.line_of[index]])
        if index < network.pump_index or flow <= 0:
            continue
        if isinstance(part, Hose):
            over = velocity(flow, part.inner_bore) / PRESSURE_MOST
        elif isinstance(part, Condenser) and part.tube_bore is not None:
            over = velocity(flow / part.tubes, part.tube_bore - 2 * part.scale) / TUBE_MOST
        else:
            continue
        if over > worst:
            worst, where = over, index
    return worst, where
