"""Findings about several units on one pump: their balance, and what a shut valve does."""

from collections.abc import Iterator

import numpy as np

from loop.check.result import Finding
from loop.check.subject import COMMON, Subject, finding
from loop.curve import Array
from loop.hydraulics import Cases, Network, solve_flows
from loop.margins.balance import Balance, Throttle, open_units
from loop.margins.speed import PRESSURE_MOST, TUBE_MOST
from loop.parts import Condenser, Hose
from loop.parts.friction import velocity
from loop.parts.seacock import SHUT_ANGLE, added_coefficient

# Loss factor that stands for a shut valve: some 1e-5 of the flow is left.
_SHUT = 1e10
# Units whose flow over need differs by less than this are called balanced.
_EVEN = 1.15


def balance_findings(subject: Subject) -> Iterator[Finding]:
    """unbalanced, cannot-balance, branch-shut: only where branches share a pump."""
    if not subject.network.forks or not subject.flows:
        return
    if subject.even is not None:
        yield from _unbalanced(subject, subject.even)
    yield from _one_shut(subject)


def _unbalanced(subject: Subject, even: Balance) -> Iterator[Finding]:
    shares = {c.name: c.flow / c.needed_flow for c in subject.condensers if c.flow > 0}
    even_enough = not shares or max(shares.values()) / min(shares.values()) < _EVEN
    if not shares or (even_enough and not subject.short) or even.share <= 0:
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
    units = open_units(network)
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
