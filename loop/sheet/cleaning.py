"""When to clean the strainer, by what is seen under its lid and by the bucket."""

import math
from collections.abc import Iterator

from loop.check import CheckResult
from loop.parts import Discharge, Strainer
from loop.sheet.card import at_most, bucket, discharge
from loop.sheet.need import need_at
from loop.sheet.told import listed
from loop.units import show


def cleaning(result: CheckResult) -> tuple[str, ...]:
    """When to clean the strainer, a sentence a unit, with the bucket time that tells it."""
    if not any(isinstance(part, Strainer) for part in result.point.network.parts):
        return ("No strainer is listed. Weed and shells go straight to the pump: fit one.",)
    return (*_covers(result), *_bucket(result))


def _covers(result: CheckResult) -> Iterator[str]:
    """What each unit gets as the basket fills; those that it starves, in one sentence."""
    system = result.job.units
    starved = []
    for unit in result.condensers:
        if unit.flow < unit.needed_flow:
            yield (
                f"{unit.name} is short of flow with the strainer as it is in the job: every "
                "blocked hole makes it worse. Fix the loop first."
            )
        elif math.isnan(unit.clean_at):
            yield f"{unit.name} meets its need however much of the basket is covered."
        else:
            starved.append(unit)
    if not starved:
        return
    first, *others = starved
    until = f"{first.name} meets its need until {first.clean_at:.0%} of the basket is covered"
    until += "".join(f", {unit.name} until {unit.clean_at:.0%}" for unit in others)
    gets, needs = (
        listed([show(flow, "flow", system) for flow in flows])
        for flows in zip(*((u.flow_half_blocked, u.needed_flow) for u in starved), strict=True)
    )
    it, need = ("they get", "they need") if others else ("it gets", "it needs")
    yield (
        f"{until}: clean it by {min(unit.clean_before for unit in starved):.0%}. Half covered {it} "
        f"{gets}; {need} {needs}."
    )


def _bucket(result: CheckResult) -> Iterator[str]:
    """The time for the bucket at each discharge that shows when the first unit falls short."""
    network, system = result.point.network, result.job.units
    told: dict[str, list[str]] = {}
    for index, part in enumerate(network.parts):
        flow = result.point.flow_through(index)
        if not isinstance(part, Discharge) or network.heights[index] <= 0 or not flow > 0:
            continue
        need = need_at(result, index)
        if need is not None and need <= flow:
            text, volume = bucket(flow, system)
            slow = show(at_most(volume / need), "time", system)
            where = told.setdefault(f"{text} that takes longer than {slow}", [])
            where.append(discharge(network, index))
    alone = sum(map(len, told.values())) == 1
    ways = [text if alone else f"{text} ({', '.join(where)})" for text, where in told.items()]
    if ways:
        yield f"The bucket tells: {', or '.join(ways)} means clean now."
