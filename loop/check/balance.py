"""Findings about several units on one pump: their balance, and what a shut valve does."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loop.balancing.balance import Balance, balance
from loop.balancing.flow_limiting import Limit
from loop.balancing.isolation import TRICKLE
from loop.check.cure import pump_wanted
from loop.check.flow import BAND
from loop.check.remedy import cared_for
from loop.check.result import Finding
from loop.check.subject import COMMON, Subject, finding
from loop.check.turning import settings
from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.margins.speed import PRESSURE_MOST, TUBE_MOST
from loop.parts import Condenser, Hose, Part
from loop.parts.friction import velocity

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
    if even.share < 1:
        yield finding(
            "cannot-balance",
            "warning",
            "manifold",
            f"however the branches are throttled, one unit gets {even.share:.0%} of its need at "
            "most",
            _more_for_all(subject),
            f"balanced on the loop's own curves; the pump's margin: {BAND}",
        )
    elif subject.balanced is not None:
        greedy, poor = max(shares, key=shares.__getitem__), min(shares, key=shares.__getitem__)
        uneven = (
            f"{greedy} takes {shares[greedy]:.2f} times its need and {poor} gets {shares[poor]:.2f}"
            if len(shares) > 1
            else f"{poor} gets {shares[poor]:.2f} times its need, and a branch round it takes more"
        )
        yield finding(
            "unbalanced",
            "warning" if subject.short else "note",
            "manifold",
            uneven,
            f"set the valves: {settings(subject, even.throttles)}; every unit then gets at least "
            f"{even.share:.2f} times its need, {subject.say(even.total_flow, 'flow')} in all",
            "balanced on the loop's own curves; valve angles after Weisbach, from memory",
        )


def _more_for_all(subject: Subject) -> str:
    """What must be done before the branches can be balanced."""
    care = cared_for(subject, subject.worst_off)
    if not care.words:
        return pump_wanted(subject)
    after = balance(build(care.job))
    if after is not None and after.share >= 1:
        return (
            f"{care.words}: the branches then balance to {after.share:.2f} times the need "
            "(check the job again with that done)"
        )
    return f"{care.words}, and {pump_wanted(subject)}"


@dataclass(frozen=True)
class _Off:
    """Branches by name, with the units that are shut off in each case, one case a row."""

    units: list[list[str]]
    loss: Array

    @staticmethod
    def of(subject: Subject) -> "_Off":
        network = subject.network
        branches: dict[str, list[str]] = {}
        for unit in subject.running:
            branch = network.branches[network.condenser_part(unit.name)]
            if branch:
                branches.setdefault(branch, []).append(unit.name)
        units = list(branches.values())
        loss = np.ones((len(units), len(network.parts)))
        for row, names in enumerate(units):
            loss[row, network.condenser_part(names[0])] = _SHUT
        return _Off(units, loss)


def _one_shut(subject: Subject) -> Iterator[Finding]:
    """What the others get when one branch's units are shut off, worst case first."""
    network = subject.network
    off = _Off.of(subject)
    if len(off.units) < 2:
        return
    every = np.where((off.loss > 1).any(axis=0), _SHUT, 1.0)
    loss = np.vstack([off.loss, every])
    *flows, none = solve_flows(network, Cases(loss=loss), start=subject.point.line_flow).line_flow
    limits = [_over_limit(network, line_flow) for line_flow in flows]
    worst = max(range(len(limits)), key=lambda row: limits[row][0])
    over, index = limits[worst]
    others = ", ".join(
        f"{unit.name} gets {subject.say(subject.of(flows[worst], unit.name), 'flow')}"
        for unit in subject.running
        if unit.name not in off.units[worst]
    )
    too_fast = over > 1
    dead = none[network.pump_line] < TRICKLE * subject.point.flow
    yield finding(
        "branch-shut",
        "warning" if too_fast else "note",
        subject.where(index) if too_fast else "manifold",
        f"with {' and '.join(off.units[worst])} shut off {others}"
        + (
            f", and the water runs {over:.1f} times its limit in {subject.name(index)}"
            if too_fast
            else ""
        )
        + (
            "; with all shut the pump runs against a closed line and heats its water"
            if dead
            else f"; with all shut {subject.say(float(none[network.pump_line]), 'flow')} still "
            "goes round"
        ),
        "; ".join(
            [
                *([_slower(subject, off, over)] if too_fast else []),
                "keep one unit's valve open, or switch the pump with the units"
                if dead
                else "the way without a unit must stay open for that",
            ]
        ),
        f"speed limits: see each; dead-heading: {COMMON}",
    )


def _slower(subject: Subject, off: _Off, over: float) -> str:
    """The valves that keep the water within its limits whichever branch is shut."""
    network = subject.network
    if subject.balanced is not None:
        # No second setting of the same valves is told beside that.
        return "set the valves for all open first, then check this case again"
    limits = [
        Limit(number, line.branch, most)
        for number, line in enumerate(network.lines)
        for most in [
            min(
                (_most(network.parts[i]) for i in line.parts if i > network.pump_index),
                default=math.inf,
            )
        ]
        if math.isfinite(most)
    ]
    held = subject.holding(limits, off.loss)
    if held is not None and held.throttles:
        left = ", ".join(
            f"{unit.name} {subject.say(subject.of(held.line_flow, unit.name), 'flow')}"
            for unit in subject.running
        )
        return (
            f"{settings(subject, held.throttles)}: no branch then runs too fast, and with all open "
            f"{left}"
        )
    return (
        "no valve holds the speed then and leaves every unit its need with all open: take hose or "
        f"tube of {over:.1f} times the area there, or shut no branch while the pump runs"
    )


def _most(part: Part) -> float:
    """The flow [m³/s] at which a part is at its limit of speed; infinite where it has none."""
    if isinstance(part, Hose):
        return PRESSURE_MOST / velocity(1.0, part.inner_bore)
    if isinstance(part, Condenser) and (bore := part.clear_bore) is not None:
        return TUBE_MOST * part.tubes / velocity(1.0, bore)
    return math.inf


def _over_limit(network: Network, line_flow: Array) -> tuple[float, int]:
    """Largest speed over its limit on the pressure side, and the part where it is."""
    worst, where = 0.0, 0
    for index, part in enumerate(network.parts):
        over = float(line_flow[network.line_of[index]]) / _most(part)
        if index > network.pump_index and over > worst:
            worst, where = over, index
    return worst, where
