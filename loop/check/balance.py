"""Findings about several units on one pump: their balance, and what a shut valve does."""

from collections.abc import Iterator

import numpy as np

from loop.check.cure import pump_wanted
from loop.check.flow import BAND
from loop.check.result import Finding
from loop.check.subject import COMMON, Subject, finding
from loop.curve import Array
from loop.hydraulics import Cases, Network, solve_flows
from loop.margins.balance import Balance, Throttle
from loop.margins.speed import PRESSURE_MOST, TUBE_MOST
from loop.parts import Condenser, Hose
from loop.parts.friction import velocity
from loop.parts.seacock import SHUT_ANGLE, added_coefficient

# Loss factor that stands for a shut valve: some 1e-5 of the flow is left.
_SHUT = 1e10


def balance_findings(subject: Subject) -> Iterator[Finding]:
    """unbalanced, cannot-balance, branch-shut: only where branches share a pump."""
    if not subject.network.forks or not subject.flows:
        return
    if subject.even is not None:
        yield from _unbalanced(subject, subject.even)
    yield from _one_shut(subject)


def _unbalanced(subject: Subject, even: Balance) -> Iterator[Finding]:
    shares = subject.shares
    greedy, poor = max(shares, key=shares.__getitem__), min(shares, key=shares.__getitem__)
    if even.share < 1:
        yield finding(
            "cannot-balance",
            "warning",
            "manifold",
            f"however the branches are throttled, one unit gets {even.share:.0%} of its need at "
            "most",
            pump_wanted(subject),
            f"balanced on the loop's own curves; the pump's margin: {BAND}",
        )
    elif subject.balanced is not None:
        valves = "; ".join(_valve(subject, throttle) for throttle in even.throttles)
        yield finding(
            "unbalanced",
            "warning" if subject.short else "note",
            "manifold",
            f"{greedy} takes {shares[greedy]:.2f} times its need and {poor} gets "
            f"{shares[poor]:.2f}",
            f"part-close the valves: {valves}; every unit then gets at least {even.share:.2f} "
            f"times its need, {subject.say(even.total_flow, 'flow')} in all",
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
    """What the others get when one branch's units are shut off, worst case first."""
    network = subject.network
    branches: dict[str, list[str]] = {}
    for unit in subject.running:
        branch = network.branches[network.condenser_part(unit.name)]
        if branch:
            branches.setdefault(branch, []).append(unit.name)
    if len(branches) < 2:
        return
    loss = np.ones((len(branches), len(network.parts)))
    for row, names in enumerate(branches.values()):
        loss[row, network.condenser_part(names[0])] = _SHUT
    flows = solve_flows(network, Cases(loss=loss), start=subject.point.line_flow).line_flow
    limits = [_over_limit(network, line_flow) for line_flow in flows]
    worst = max(range(len(limits)), key=lambda row: limits[row][0])
    over, index = limits[worst]
    off = list(branches.values())[worst]
    others = ", ".join(
        f"{unit.name} gets "
        + subject.say(
            float(flows[worst, network.line_of[network.condenser_part(unit.name)]]), "flow"
        )
        for unit in subject.running
        if unit.name not in off
    )
    too_fast = over > 1
    yield finding(
        "branch-shut",
        "warning" if too_fast else "note",
        subject.where(index) if too_fast else "manifold",
        f"with {' and '.join(off)} shut off {others}"
        + (
            f", and the water runs {over:.1f} times its limit in {subject.name(index)}"
            if too_fast
            else ""
        )
        + "; with all shut the pump runs against a closed line and heats its water",
        ("throttle the branches for that case, or keep " if too_fast else "keep ")
        + "one unit's valve open, or switch the pump with the units",
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
