"""When to clean the strainer, by looking at the basket and by timing a bucket."""

import math
from collections.abc import Iterator, Sequence

from loop.check import CheckResult, CondenserResult
from loop.parts import Discharge, Strainer
from loop.sheet.card import at_most, bucket, discharge
from loop.sheet.need import need_at
from loop.units import System, show
from loop.words.job_sheet import SAY
from loop.words.template import counted, listed

# Give flows unit by unit for at most this many units.
_NAMED = 3


def cleaning(result: CheckResult) -> tuple[str, ...]:
    """When to clean the strainer, as sentences, with the bucket time that shows it is due."""
    if not any(isinstance(part, Strainer) for part in result.point.network.parts):
        return (SAY("clean-none"),)
    return (*_covers(result), *_bucket(result))


def _covers(result: CheckResult) -> Iterator[str]:
    """Flow of each unit as the basket fills; units that run short share a sentence."""
    system = result.job.units
    starved = []
    for unit in result.condensers:
        if unit.flow < unit.needed_flow:
            yield SAY("clean-short", unit=unit.name)
        elif math.isnan(unit.clean_at):
            yield SAY("clean-never", unit=unit.name)
        else:
            starved.append(unit)
    if not starved:
        return
    if len(starved) > _NAMED:
        yield _first_of(starved, system)
        return
    first, *others = starved
    until = SAY("clean-until", unit=first.name, share=first.clean_at)
    until += "".join(SAY("clean-until-too", unit=u.name, share=u.clean_at) for u in others)
    gets, needs = (
        listed([show(flow, "flow", system) for flow in flows])
        for flows in zip(*((u.flow_half_blocked, u.needed_flow) for u in starved), strict=True)
    )
    row = "clean-by-all" if others else "clean-by"
    by = min(unit.clean_before for unit in starved)
    yield SAY(row, until=until, by=by, gets=gets, needs=needs)


def _first_of(starved: Sequence[CondenserResult], system: System) -> str:
    """Of many units, the first to fall below its need."""
    first = min(starved, key=lambda unit: unit.clean_at)
    return SAY(
        "clean-by-first",
        system,
        count=counted(len(starved)),
        unit=first.name,
        share=first.clean_at,
        by=min(unit.clean_before for unit in starved),
        gets=first.flow_half_blocked,
        needs=first.needed_flow,
    )


def _bucket(result: CheckResult) -> Iterator[str]:
    """Bucket time at each discharge at which the first unit behind it falls short."""
    network, system = result.point.network, result.job.units
    shown: dict[tuple[str, str], list[str]] = {}
    for index, part in enumerate(network.parts):
        flow = result.point.flow_through(index)
        if not isinstance(part, Discharge) or network.heights[index] <= 0 or not flow > 0:
            continue
        need = need_at(result, index)
        if need is not None and need <= flow:
            text, volume = bucket(flow, system)
            slow = show(at_most(volume / need), "time", system)
            shown.setdefault((text, slow), []).append(discharge(network, index))
    alone = sum(map(len, shown.values())) == 1
    ways = [
        SAY("clean-bucket", bucket=text, time=slow, places=None if alone else ", ".join(where))
        for (text, slow), where in shown.items()
    ]
    if ways:
        yield SAY("clean-now", ways=", or ".join(ways))
