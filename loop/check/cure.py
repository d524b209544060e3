"""What to do about too little or too much flow: the least change that does, with its size."""

from loop.balancing.balance import ROOM, duty
from loop.check.lift import eased_lift, lowered
from loop.check.remedy import (
    cared_for,
    larger_hose,
    rested_supply,
    scoop_turned,
    stronger_pump,
)
from loop.check.result import CondenserResult
from loop.check.subject import EXCESS, Subject
from loop.check.turning import settings
from loop.hydraulics import build

AS_BALANCED = "as under manifold"


def more_flow(subject: Subject, number: int) -> str:
    """The smallest change that gives this unit its need at the low end of the band."""
    unit = subject.condensers[number]
    shut = subject.shut_before(unit.name)
    if shut:
        return f"open {' and '.join(map(subject.name, shut))}, if {unit.name} is to run"
    care = cared_for(subject, number)
    if care.words and care.cures():
        return f"{care.words}: {subject.say(care.flow(unit.name), 'flow')}"
    if subject.balanced is not None:
        enough = subject.balanced.low >= 1
        said = f"balance the branches, {AS_BALANCED}"
        if enough:
            return f"there is water enough for all: {said}"
        after = subject.say(subject.of(subject.balanced.line_flow, unit.name), "flow")
        return (
            f"{said}, which makes it {after}; for the poor end of the tolerance too, "
            f"{pump_wanted(subject)}"
        )
    worst = subject.worst_off
    if number != worst:
        # One change is looked for, with which every unit has enough: each try is a whole solution.
        return f"what cures {subject.condensers[worst].name}, which is worst off, serves it too"
    first = f"{care.words}, and " if care.words else ""
    change = scoop_turned(care, unit) or lowered(care, unit) or rested_supply(care, unit)
    if change is not None:
        return first + change
    change = larger_hose(care, unit) or stronger_pump(care, unit)
    if change is None and subject.even is not None and subject.even.share < 1:
        change = "no single hose size or pump of the catalogue cures this; see under manifold"
    if change is None:
        none = "no single hose size or pump of the catalogue cures this"
        change = f"{none}: {pump_wanted(subject)}"
    return first + change + eased_lift(care, unit)


def pump_wanted(subject: Subject) -> str:
    """Words for the pump that gives every unit its need at the low end of the band."""
    wanted = duty(build(cared_for(subject, subject.worst_off).job), subject.spare)
    if wanted is None:
        return "no pump would do; look for what blocks the line"
    head, flow = wanted
    balanced = ", the branches balanced" if subject.even is not None else ""
    return (
        f"it takes {subject.job.pump.such} about {subject.say(head, 'head')} at "
        f"{subject.say(flow, 'flow')}{balanced}, or a line that loses less"
    )


def less_flow(subject: Subject, number: int) -> str:
    """The smaller pump, and the valves, that take away what a unit has too much."""
    unit = subject.condensers[number]
    if subject.balanced is not None:
        left = subject.of(subject.balanced.line_flow, unit.name)
        if left <= (1 - ROOM) * EXCESS * unit.needed_flow:
            return f"balance the branches, {AS_BALANCED}, which leaves {subject.say(left, 'flow')}"
        # No second setting of the same valves is told beside that.
        ways = _smaller_pump(subject, unit)
    else:
        ways = [*_smaller_pump(subject, unit), *_valves(subject, unit)]
    if ways:
        return "; or ".join(ways)
    most = EXCESS * unit.needed_flow
    if unit.name not in subject.shares:
        return (
            f"other units need this flow: leave it so, or give {unit.name} a bypass that leaves it "
            f"{subject.say(most, 'flow')}"
        )
    return (
        f"leave it so: a valve that brought {unit.name} down to {subject.say(most, 'flow')} would "
        "take another unit, or it itself, under its need"
    )


def _smaller_pump(subject: Subject, unit: CondenserResult) -> list[str]:
    drawn = subject.smaller_duty
    if drawn is None or subject.of(drawn.line_flow, unit.name) > EXCESS * unit.needed_flow:
        return []
    balanced = ", the branches balanced" if subject.even is not None and drawn.throttles else ""
    less = "less pump" if subject.job.pump.count > 1 else "a smaller pump"
    return [
        f"{less} would do, {subject.job.pump.such} about {subject.say(drawn.pump_head, 'head')} at "
        f"{subject.say(drawn.total_flow, 'flow')}{balanced}"
    ]


def _valves(subject: Subject, unit: CondenserResult) -> list[str]:
    """The valves that keep every unit to what it has use for, this one's first."""
    held = subject.eased
    if held is None or not held.throttles:
        return []
    told = {c.name for c in subject.condensers if c.flow > EXCESS * c.needed_flow}
    own = [valve for valve in held.throttles if valve.unit == unit.name]
    there = [v for v in held.throttles if v not in own and v.unit in told]
    rest = [v for v in held.throttles if v not in own and v not in there]
    said = [settings(subject, [*own, *rest])] if own or rest else []
    if there:
        names = " and ".join(valve.unit for valve in there)
        said.append(f"with the valves told for {names}" if said else settings(subject, there))
    left = subject.say(subject.of(held.line_flow, unit.name), "flow")
    return [f"{', '.join(said)}, which leaves {left}"]
