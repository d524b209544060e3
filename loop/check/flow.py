"""Findings about the flow itself: enough, too little, too much, none."""

import math
from collections.abc import Iterator

from loop.check.remedy import larger_hose, shed_head, stronger_pump
from loop.check.result import CondenserResult, Finding
from loop.check.subject import COMMON, Subject, finding
from loop.hydraulics.band import BORE, LOSS, PUMP_FLOW, PUMP_HEAD
from loop.parts import Discharge, Pump
from loop.parts.friction import velocity_head
from loop.parts.seacock import angle_adding

# Common practice runs from 150 to 250 gal/h a ton: past 250 where 180 is needed is more than use.
_EXCESS = 250 / 180
_BAND = (
    f"ISO 9906:2012 grade 2B for the pump (±{PUMP_FLOW:.0%} flow, ±{PUMP_HEAD:.0%} head); "
    f"±{LOSS:.0%} on losses and ±{BORE / 0.0254:.3f} in on hose bore are engineering estimates"
)


def flow_findings(subject: Subject) -> Iterator[Finding]:
    """no-flow, beyond-curve, flow-short, flow-marginal, flow-excess, strainer-margin."""
    if not subject.flows:
        yield _no_flow(subject)
        return
    if not subject.point.settled:
        yield finding(
            "not-settled",
            "warning",
            "manifold",
            "the losses in the manifold's tees depend so strongly on the split that the flows "
            f"balance only to {subject.say(subject.point.residual, 'head')}",
            "use a header at least as large as the pipe that feeds it",
            "limit of the method",
        )
    if subject.point.past_curve:
        yield _beyond_curve(subject)
    for number, unit in enumerate(subject.condensers):
        if unit.flow < unit.needed_flow:
            yield _short(subject, number)
        elif unit.flow_low < unit.needed_flow:
            yield _marginal(subject, number)
        elif unit.flow > _EXCESS * unit.needed_flow:
            yield _excess(subject, number)
    first = min(
        (unit for unit in subject.condensers if math.isfinite(unit.clean_at)),
        key=lambda unit: unit.clean_at,
        default=None,
    )
    if first is not None:
        yield _clean_by(subject, first)


def _no_flow(subject: Subject) -> Finding:
    network = subject.network
    shut = [i for i, part in enumerate(network.parts) if part.shut]
    on_main = [i for i in shut if not network.branches[i]]
    if on_main or (shut and subject.point.pump_head >= subject.point.shutoff_head):
        index = (on_main or shut)[0]
        return finding(
            "no-flow",
            "danger",
            subject.where(index),
            f"{subject.name(index)} is shut: nothing flows, and the pump heats the water that "
            "stands in it",
            f"open {subject.name(index)} before the pump runs",
            "geometry of the loop",
        )
    top = max(
        (network.heights[i] for i, part in enumerate(network.parts) if isinstance(part, Discharge)),
    )
    lift = max(top, 0.0) - network.start_head
    shutoff = subject.point.shutoff_head
    pump = network.pump_index
    return finding(
        "no-flow",
        "danger",
        subject.where(pump),
        f"nothing flows: the water must be lifted {subject.say(lift, 'head')}, and the pump "
        f"holds no more than {subject.say(shutoff, 'head')} at no flow",
        f"bring the discharge down to {subject.say(0.5 * shutoff, 'height')} above the waterline "
        f"or lower, or fit a pump of at least {subject.say(2 * lift, 'head')} at shut-off"
        if lift > 0
        else "check the pump's supply and its curve",
        "pump curve",
    )


def _beyond_curve(subject: Subject) -> Finding:
    network, curve = subject.network, subject.network.pump.curve
    last = curve.last_flow * network.pump.speed * network.pump.in_parallel
    return finding(
        "beyond-curve",
        "warning",
        subject.where(network.pump_index),
        f"{subject.say(subject.point.flow, 'flow')} lies past the last measured point of "
        f"{curve.name}, {subject.say(last, 'flow')}; the curve was drawn on in a straight line, "
        "so this flow is a guess",
        f"throttle the pressure side to bring it under {subject.say(last, 'flow')}, or fit a pump "
        "whose curve reaches so far",
        "pump curve",
    )


def _short(subject: Subject, number: int) -> Finding:
    unit = subject.condensers[number]
    missing = 1 - unit.flow / unit.needed_flow
    return finding(
        "flow-short",
        "danger",
        f"condenser {unit.name}",
        f"{unit.name} gets {subject.say(unit.flow, 'flow')} "
        f"({subject.say(unit.flow_low, 'flow')} to {subject.say(unit.flow_high, 'flow')}) of the "
        f"{subject.say(unit.needed_flow, 'flow')} that it needs: {missing:.0%} too little",
        _more_flow(subject, number),
        f"need: {COMMON} or the maker's figure; band: {_BAND}",
    )


def _marginal(subject: Subject, number: int) -> Finding:
    unit = subject.condensers[number]
    return finding(
        "flow-marginal",
        "warning",
        f"condenser {unit.name}",
        f"{unit.name} gets {subject.say(unit.flow, 'flow')}, but with the pump and the losses at "
        f"the poor end of their tolerance only {subject.say(unit.flow_low, 'flow')} of the "
        f"{subject.say(unit.needed_flow, 'flow')} needed",
        _more_flow(subject, number),
        f"band: {_BAND}",
    )


def _more_flow(subject: Subject, number: int) -> str:
    """The smallest change that gives this unit its need at the low end of the band."""
    if subject.even is not None and subject.even.share >= 1:
        return "there is water enough for all: balance the branches, as under manifold"
    shares = [c.flow_low / c.needed_flow for c in subject.condensers]
    worst = min(range(len(shares)), key=shares.__getitem__)
    if number != worst:
        # One change is looked for, for the unit that is worst off: each try is a whole solution.
        return f"what cures {subject.condensers[worst].name}, which is worst off, serves it too"
    hose = larger_hose(subject, number)
    if hose is not None:
        return hose
    pump = stronger_pump(subject, number)
    if pump is not None:
        return pump
    unit = subject.condensers[number]
    # Losses go nearly with the square of flow, so the head that drives them must too.
    head = subject.point.pump_head * (unit.needed_flow / max(unit.flow, 1e-9)) ** 2
    flow = subject.point.flow * unit.needed_flow / max(unit.flow, 1e-9)
    return (
        "no single hose size or pump of the catalogue cures this; look for a pump that gives about "
        f"{subject.say(head, 'head')} at {subject.say(flow, 'flow')}, and shorten the run"
    )


def _excess(subject: Subject, number: int) -> Finding:
    unit = subject.condensers[number]
    network = subject.network
    target = _EXCESS * unit.needed_flow
    fix = "throttle its branch" if network.forks else "a smaller pump would do"
    if not network.forks:
        after = next(
            i
            for i, p in enumerate(network.parts)
            if i > network.pump_index and not isinstance(p, Pump)
        )
        bore = network.parts[after].inner_bore
        surplus = shed_head(subject, target)
        angle = angle_adding(surplus / velocity_head(target, bore))
        fix += (
            f"; or turn a {subject.say(bore, 'bore')} ball valve after the pump some {angle:.0f}° "
            f"from open, which leaves {subject.say(target, 'flow')}"
        )
    return finding(
        "flow-excess",
        "note",
        f"condenser {unit.name}",
        f"{unit.name} gets {subject.say(unit.flow, 'flow')}, {unit.flow / unit.needed_flow:.1f} "
        f"times its need of {subject.say(unit.needed_flow, 'flow')}: power and noise without "
        "cooling, and wear of the condenser's tube",
        fix,
        f"{COMMON}: 150 to 250 gal/h a ton; valve angle after Weisbach, from memory",
    )


def _clean_by(subject: Subject, unit: CondenserResult) -> Finding:
    """When to clean the strainer, by the unit that first wants for water."""
    return finding(
        "strainer-margin",
        "note",
        f"condenser {unit.name}",
        f"with the strainer half blocked {unit.name} gets "
        f"{subject.say(unit.flow_half_blocked, 'flow')}; the need of "
        f"{subject.say(unit.needed_flow, 'flow')} is reached at {unit.clean_at:.0%} blocked",
        f"clean the basket before it is {unit.clean_before:.0%} covered",
        "velocity through the open share of the basket, 1/(1 − blocked)",
    )
