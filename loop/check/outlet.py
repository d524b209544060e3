"""Findings about the condenser's temperature and about the discharge."""

from collections.abc import Iterator

from loop.check.result import Finding
from loop.check.subject import COMMON, Subject, finding
from loop.parts import Discharge

# A discharge higher than this wastes head and splashes [m]: a foot, common practice.
_HIGH = 0.3048


def heat_findings(subject: Subject) -> Iterator[Finding]:
    """condensing-high, against the limits that the job sets."""
    if not subject.flows:
        return
    for result in subject.condensers:
        unit = subject.job.unit(result.name)
        limit, level, word = unit.condensing_stop, "danger", "stop"
        if limit is None or result.condensing_temperature < limit:
            limit, level, word = unit.condensing_watch, "warning", "watch"
        if limit is None or result.condensing_temperature < limit:
            continue
        yield finding(
            "condensing-high",
            "danger" if level == "danger" else "warning",
            f"condenser {unit.name}",
            f"{unit.name} would condense at "
            f"{subject.say(result.condensing_temperature, 'temperature')} in water of "
            f"{subject.say(subject.job.water.temperature, 'temperature')}, at or over the job's "
            f"{word} limit of {subject.say(limit, 'temperature')}",
            "bring the flow up to the need first"
            if result.flow < unit.needed_flow
            else "the flow is enough, so the sea is warmer than this limit allows: set the limit "
            "for this water, or give the unit less load",
            "heat balance and effectiveness–NTU; the split of resistance is an engineering "
            "estimate",
        )


def discharge_findings(subject: Subject) -> Iterator[Finding]:
    """discharge-under-water, discharge-high."""
    for index, part in enumerate(subject.network.parts):
        if not isinstance(part, Discharge):
            continue
        if part.height <= 0:
            yield finding(
                "discharge-under-water",
                "warning",
                subject.where(index),
                f"the discharge lies {subject.say(-part.height, 'height')} under the water: its "
                "stream cannot be seen, and a parted hose lets the sea in",
                "bring it a few inches above the waterline at the worst heel, or give it a seacock "
                "of its own",
                f"{COMMON}; ISO 9093 / ABYC H-27 for the through-hull",
            )
        elif part.height > _HIGH:
            lower = _HIGH / 2
            yield finding(
                "discharge-high",
                "note",
                subject.where(index),
                f"the discharge is {subject.say(part.height, 'height')} above the waterline: the "
                "pump lifts all the water so far before it falls",
                f"{subject.say(lower, 'height')} above the waterline keeps the stream in sight and "
                f"gives back {subject.say(part.height - lower, 'head')} of head",
                COMMON,
            )
