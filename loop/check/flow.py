"""Findings about the flow itself: enough, too little, too much, none."""

import math
from collections.abc import Iterator

from loop.balancing.balance import duty
from loop.balancing.flow_limiting import hold_back
from loop.balancing.isolation import TRICKLE
from loop.check.cure import less_flow, more_flow
from loop.check.lift import highest_outlet
from loop.check.remedy import Care
from loop.check.result import CondenserResult, Finding
from loop.check.rounded import apart, at_least
from loop.check.subject import COMMON, EXCESS, Subject, finding
from loop.check.turning import turned
from loop.hydraulics import installed_pump
from loop.parts import Discharge
from loop.tolerances import BARB, BORE, LOSS, PUMP_FLOW, PUMP_HEAD

BAND = (
    f"ISO 9906:2012 grade 2B for the pump (±{PUMP_FLOW.half:.0%} flow, ±{PUMP_HEAD.half:.0%} "
    f"head); ±{LOSS.half:.0%} on losses, ±{BORE.half / 0.0254:.3f} in on hose bore and "
    f"±{BARB.half:.0%} on barbs are engineering estimates"
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
        elif unit.flow > EXCESS * unit.needed_flow:
            yield _excess(subject, number)
    first = min(
        (unit for unit in subject.condensers if math.isfinite(unit.clean_at)),
        key=lambda unit: unit.clean_at,
        default=None,
    )
    if first is not None and not subject.short:
        yield _clean_by(subject, first)


def _no_flow(subject: Subject) -> Finding:
    network = subject.network
    shut = list(dict.fromkeys(i for c in subject.condensers for i in subject.shut_before(c.name)))
    if shut and not subject.running:
        names = " and ".join(subject.name(i) for i in shut)
        return finding(
            "no-flow",
            "danger",
            subject.where(shut[0]),
            f"{names} {'is' if len(shut) == 1 else 'are'} shut: nothing flows, and the pump heats "
            "the water that stands in it",
            f"open {names} before the pump runs",
            "geometry of the loop",
        )
    outlets = {i for i, part in enumerate(network.parts) if isinstance(part, Discharge)}
    lift = max(0.0, min(network.heights[i] for i in outlets)) - network.start_head
    needed, held = apart(subject, lift, subject.point.shutoff_head, "head")
    return finding(
        "no-flow",
        "danger",
        subject.where(network.pump_index),
        f"nothing flows: the water must be lifted {needed}, and the pump holds no more than "
        f"{held} at no flow",
        _lift_less(subject, outlets),
        "pump curve",
    )


def _lift_less(subject: Subject, outlets: set[int]) -> str:
    """The height of the discharge, or the pump, with which every unit gets its need."""
    wanted = duty(subject.network, subject.spare)
    if wanted is None:
        return "check the pump's supply and its curve"
    head, flow = wanted
    pump = (
        f"{subject.job.pump.such} at least {at_least(subject, head, 'head')} at "
        f"{at_least(subject, flow, 'flow')}"
    )
    height = highest_outlet(Care(subject, subject.job, ""), outlets)
    if height is None:
        return f"fit {pump}"
    return (
        f"bring the discharge down to {subject.say(height, 'height')} above the waterline or "
        f"lower, or fit {pump}"
    )


def _beyond_curve(subject: Subject) -> Finding:
    network, curve = subject.network, subject.network.pump.curve
    last = float(installed_pump(network).last_flow[0])
    return finding(
        "beyond-curve",
        "warning",
        subject.where(network.pump_index),
        f"{subject.say(subject.point.flow, 'flow')} lies past the last measured point of "
        f"{curve.name}, {subject.say(last, 'flow')}; the curve was drawn on in a straight line, "
        "so this flow is a guess",
        _onto_curve(subject, last),
        "pump curve; valve angle after Weisbach, from memory",
    )


def _onto_curve(subject: Subject, last: float) -> str:
    """The valve after the pump that brings its flow back onto the curve, or the pump instead."""
    network = subject.network
    pump = f"a pump whose curve reaches {subject.say(subject.point.flow, 'flow')}"
    held = hold_back(network, last)
    starved = subject.starved(held.line_low)
    if starved:
        return f"fit {pump}: throttled back onto the curve, it leaves {starved[0]} short"
    return f"{turned(subject, held.throttles[0])}, or fit {pump}"


def _short(subject: Subject, number: int) -> Finding:
    unit = subject.condensers[number]
    return finding(
        "flow-short",
        "danger",
        f"condenser {unit.name}",
        _shortage(subject, unit),
        more_flow(subject, number),
        f"need: {COMMON} or the maker's figure; band: {BAND}",
    )


def _shortage(subject: Subject, unit: CondenserResult) -> str:
    """What a unit gets of its need: nothing, less than nothing, or too little."""
    say = subject.say
    need = f"the {say(unit.needed_flow, 'flow')} that it needs"
    shut = subject.shut_before(unit.name)
    if shut and unit.flow <= TRICKLE * unit.needed_flow:
        back = (
            f", and {say(-unit.flow, 'flow')} runs back through it to another way out"
            if unit.flow < -TRICKLE * unit.needed_flow
            else ""
        )
        return f"{unit.name} gets nothing of {need}: {subject.name(shut[0])} is shut{back}"
    if unit.flow < -TRICKLE * unit.needed_flow:
        return f"{unit.name} gets nothing of {need}: {say(-unit.flow, 'flow')} runs backwards"
    round_ = f"; {subject.name(shut[0])} is shut, and this comes round it" if shut else ""
    return (
        f"{unit.name} gets {say(unit.flow, 'flow')} ({say(unit.flow_low, 'flow')} to "
        f"{say(unit.flow_high, 'flow')}) of {need}: {1 - unit.flow / unit.needed_flow:.0%} too "
        f"little{round_}"
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
        more_flow(subject, number),
        f"band: {BAND}",
    )


def _excess(subject: Subject, number: int) -> Finding:
    unit = subject.condensers[number]
    return finding(
        "flow-excess",
        "note",
        f"condenser {unit.name}",
        f"{unit.name} gets {subject.say(unit.flow, 'flow')}, {unit.flow / unit.needed_flow:.1f} "
        f"times its need of {subject.say(unit.needed_flow, 'flow')}: power and noise without "
        "cooling, and wear of the condenser's tube",
        less_flow(subject, number),
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
