"""What to do about too little or too much flow: the least change that does, with its size."""

from loop.check.remedy import cared_for, larger_hose, reach, rested_supply, stronger_pump
from loop.check.subject import EXCESS, Subject
from loop.hydraulics import build
from loop.margins.balance import Throttle, duty, throttle
from loop.parts.seacock import SHUT_ANGLE

AS_BALANCED = "as under manifold"


def more_flow(subject: Subject, number: int) -> str:
    """The smallest change that gives this unit its need at the low end of the band."""
    unit = subject.condensers[number]
    shut = subject.shut_before(unit.name)
    if shut:
        return f"open {' and '.join(map(subject.name, shut))}, if {unit.name} is to run"
    worst = subject.worst_off
    care = cared_for(subject, worst)
    freed = care.flow(unit.name)
    if care.words and freed >= reach(unit):
        return f"{care.words}: {subject.say(freed, 'flow')}"
    share = 1.0 if unit.flow < unit.needed_flow else reach(unit) / unit.needed_flow
    if subject.balanced is not None and subject.balanced.share >= share:
        return f"there is water enough for all: balance the branches, {AS_BALANCED}"
    if number != worst:
        # One change is looked for, for the unit that is worst off: each try is a whole solution.
        return f"what cures {subject.condensers[worst].name}, which is worst off, serves it too"
    first = f"{care.words}, and " if care.words else ""
    change = rested_supply(care, unit) or larger_hose(care, unit) or stronger_pump(care, unit)
    none = "no single hose size or pump of the catalogue cures this"
    if change is None and subject.even is not None and subject.even.share < 1:
        return f"{first}{none}; for the pump that would, see manifold"
    return first + (change or f"{none}: {pump_wanted(subject)}")


def pump_wanted(subject: Subject) -> str:
    """Words for the pump that gives every unit its need at the low end of the band."""
    wanted = duty(build(cared_for(subject, subject.worst_off).job), subject.spare)
    if wanted is None:
        return "no pump would do; look for what blocks the line"
    head, flow = wanted
    balanced = ", the branches balanced" if subject.even is not None else ""
    return (
        f"it takes a pump of about {subject.say(head, 'head')} at {subject.say(flow, 'flow')}"
        f"{balanced}, or a line that loses less"
    )


def less_flow(subject: Subject, number: int) -> str:
    """The smaller pump, and the valve, that take away what a unit has too much."""
    unit = subject.condensers[number]
    if unit.name not in subject.shares:
        return (
            f"other units need this flow; a bypass round {unit.name} that leaves it "
            f"{subject.say(EXCESS * unit.needed_flow, 'flow')} would spare its tube"
        )
    ways = []
    enough = subject.smaller_duty
    if enough is not None:
        head, flow = enough
        ways.append(
            f"a smaller pump would do, one of about {subject.say(head, 'head')} at "
            f"{subject.say(flow, 'flow')}"
        )
    valve = _valve(subject, number)
    if valve is not None and subject.balanced is not None:
        ways.append(
            f"part-close the valve of {valve.unit}, {AS_BALANCED}, which leaves "
            f"{subject.say(valve.flow, 'flow')}"
        )
    elif valve is not None:
        ways.append(turned(subject, valve))
    return "; or ".join(ways)


def turned(subject: Subject, valve: Throttle) -> str:
    """Words for a ball valve to turn, or an orifice, and the flow that it leaves."""
    branch = subject.network.branches[subject.network.condenser_part(valve.unit)]
    place = f"in the branch of {valve.unit}" if branch else "after the pump"
    how = (
        f"turn a {subject.say(valve.bore, 'bore')} ball valve {place} some {valve.angle:.0f}° from "
        "open"
        if valve.angle < SHUT_ANGLE - 1
        else f"fit an orifice of K {valve.coefficient:.0f} on {subject.say(valve.bore, 'bore')} "
        f"{place}, since no ball valve holds so fine a setting"
    )
    return f"{how}, which leaves {subject.say(valve.flow, 'flow')}"


def _valve(subject: Subject, number: int) -> Throttle | None:
    unit = subject.condensers[number]
    even = subject.even
    if even is None or even.share < 1:
        return throttle(subject.network, unit.name, EXCESS * unit.needed_flow)
    return next((valve for valve in even.throttles if valve.unit == unit.name), None)
