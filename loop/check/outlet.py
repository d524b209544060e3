"""Findings about the condenser's temperature and about the discharge."""

from collections.abc import Iterator

from loop.check.result import CondenserResult, Finding
from loop.check.subject import COMMON, Subject, finding
from loop.margins.heat import TRIPS, condensing_in_loop, inlet_rises
from loop.parts import Discharge

# A discharge higher than this wastes head and splashes [m]: a foot, common practice.
_HIGH = 0.3048
# A little above the water, where its stream is seen [m]: half of that, common practice.
_RIGHT = _HIGH / 2


def heat_findings(subject: Subject) -> Iterator[Finding]:
    """condensing-high, against the limits that the job sets."""
    if not subject.flows:
        return
    for result in subject.condensers:
        unit = subject.job.unit(result.name)
        if result.flow == 0:
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
            f"{unit.name} would condense {_at(subject, result.condensing_temperature)} in water "
            f"{_water(subject, result)}, at or over the job's {word} limit of "
            f"{subject.say(limit, 'temperature')}",
            _cooler(subject, result, limit),
            "heat balance and effectiveness–NTU; the split of resistance is an engineering "
            "estimate",
        )


def _at(subject: Subject, temperature: float) -> str:
    if temperature > TRIPS:
        return f"over {subject.say(TRIPS, 'temperature')}, where it trips first,"
    return f"at {subject.say(temperature, 'temperature')}"


def _water(subject: Subject, result: CondenserResult) -> str:
    """Of what temperature a unit's water is, and why."""
    here = subject.say(result.inlet_temperature, "temperature")
    sea = subject.say(subject.job.water.temperature, "temperature")
    if here == sea:
        return f"of {sea}"
    return f"of {here} (the sea's {sea}, warmed by {' and '.join(result.warmed_by)})"


def _cooler(subject: Subject, result: CondenserResult, limit: float) -> str:
    """What brings a unit under its limit: the flow it needs, the sea's water, or another limit."""
    unit, sea = subject.job.unit(result.name), subject.job.water.temperature
    network = subject.network
    short = result.flow < unit.needed_flow
    at = max(abs(result.flow), unit.needed_flow)
    # What warms the water on its way gets more of it too.
    flows = subject.point.line_flow * (at / abs(result.flow))
    rise = inlet_rises(network, flows, sea)[0, subject.job.condenser.index(unit)]
    best, alone = condensing_in_loop(network, unit, at, [sea + rise, sea])
    said = subject.say(float(best), "temperature")
    more = f"bring the flow up to the need first, which makes it {said}"
    if best < limit:
        return more
    cool = subject.say(float(alone), "temperature")
    others = " and ".join(result.warmed_by)
    beside = f"as much water of its own, in a branch beside {others}, makes it {cool}"
    if others and alone < limit:
        return f"{more}; {beside}" if short else beside
    warm = (
        f"the sea is warmer than this limit allows: set it above {said} for this water, or give "
        "the unit less load"
    )
    return f"{more}; {warm}" if short else f"the flow is enough, so {warm}"


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
