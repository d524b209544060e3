"""Findings about the condenser's temperature and about the discharge."""

from collections.abc import Iterator

from loop.check.result import Finding
from loop.check.subject import COMMON, Subject, finding
from loop.job import Unit
from loop.margins.heat import condensing_temperature
from loop.parts import Discharge

# A discharge higher than this wastes head and splashes [m]: a foot, common practice.
_HIGH = 0.3048
# Condensing temperature past which no unit runs on [°C]: engineering estimate.
_TRIPS = 70.0
# A little above the water, where its stream is seen [m]: half of that, common practice.
_RIGHT = _HIGH / 2


def heat_findings(subject: Subject) -> Iterator[Finding]:
    """condensing-high, against the limits that the job sets."""
    if not subject.flows:
        return
    for result in subject.condensers:
        unit = subject.job.unit(result.name)
        if result.flow <= 0:
            continue  # no flow is told as such, and no temperature belongs to it
        limit, level, word = unit.condensing_stop, "danger", "stop"
        if limit is None or result.condensing_temperature < limit:
            limit, level, word = unit.condensing_watch, "warning", "watch"
        if limit is None or result.condensing_temperature < limit:
            continue
        yield finding(
            "condensing-high",
            "danger" if level == "danger" else "warning",
            f"condenser {unit.name}",
            f"{unit.name} would condense {_at(subject, result.condensing_temperature)} in water of "
            f"{subject.say(subject.job.water.temperature, 'temperature')}, at or over the job's "
            f"{word} limit of {subject.say(limit, 'temperature')}",
            _cooler(subject, unit, result.flow, limit),
            "heat balance and effectiveness–NTU; the split of resistance is an engineering "
            "estimate",
        )


def _at(subject: Subject, temperature: float) -> str:
    if temperature > _TRIPS:
        return f"over {subject.say(_TRIPS, 'temperature')}, where it trips first,"
    return f"at {subject.say(temperature, 'temperature')}"


def _cooler(subject: Subject, unit: Unit, flow: float, limit: float) -> str:
    """What brings a unit under its limit: the flow it needs, or another limit."""
    sea, water = subject.job.water.temperature, subject.network.water
    at = max(flow, unit.needed_flow)
    best = float(condensing_temperature(unit, at, sea, water, ua=subject.job.fitted.ua))
    said = subject.say(best, "temperature")
    more = f"bring the flow up to the need first, which makes it {said}"
    if best < limit:
        return more
    warm = (
        f"the sea is warmer than this limit allows: set it above {said} for this water, or give "
        "the unit less load"
    )
    return f"{more}; {warm}" if flow < unit.needed_flow else f"the flow is enough, so {warm}"


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
                "the discharge lies "
                + (
                    f"{subject.say(-part.height, 'height')} under the water"
                    if part.height < 0
                    else "at the waterline"
                )
                + ": its stream cannot be seen, and a parted hose lets the sea in",
                f"bring it up {subject.say(_RIGHT - part.height, 'height')}, to "
                f"{subject.say(_RIGHT, 'height')} above the waterline (more where the heel dips "
                "it), or give it a seacock of its own",
                f"{COMMON}; ISO 9093 / ABYC H-27 for the through-hull",
            )
        elif part.height > _HIGH:
            yield finding(
                "discharge-high",
                "note",
                subject.where(index),
                f"the discharge is {subject.say(part.height, 'height')} above the waterline: the "
                "pump lifts all the water so far before it falls",
                f"{subject.say(_RIGHT, 'height')} above the waterline keeps the stream in sight "
                f"and gives back {subject.say(part.height - _RIGHT, 'head')} of head",
                COMMON,
            )
