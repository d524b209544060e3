"""Larger hose to the unit that is shortest of water, and the branches balanced again."""

from collections.abc import Iterator

from loop.balancing.balance import balance
from loop.check.job_changes import Care
from loop.check.pump_changes import stronger_ones
from loop.check.result import CondenserResult
from loop.check.throttle_actions import settings
from loop.check.widened import widened
from loop.hydraulics import build
from loop.job import JobError, bores_above
from loop.parts import Hose
from loop.parts.step import narrower
from loop.words.actions import Action

# Sizes larger, and stronger pumps, that are tried: what is far from enough is bought otherwise.
_SIZES, _PUMPS = 2, 3


def hose_and_valves(care: Care, unit: CondenserResult) -> Iterator[Action]:
    """The hoses of a unit's branch in a size larger, the valves that then give each its share.

    And the weakest pump, where those are not enough, nor it by itself: so where one branch takes
    much more than it needs and another, far off, much less.
    """
    context = care.context
    network = context.network
    branch = network.branches[network.condenser_part(unit.name)]
    own = [
        (index, part.inner_bore)
        for index, part in enumerate(network.parts)
        if isinstance(part, Hose) and network.branches[index] == branch
    ]
    if not branch or not own:
        return
    least = min(bore for _, bore in own)
    pumps = [pump for pump in stronger_ones(care)[:_PUMPS] if not care.cures(pump)]
    for bore in bores_above(least)[:_SIZES]:
        hose = widened(context, [index for index, now in own if narrower(now, bore)], bore)
        try:
            even = balance(build(care.with_(hose).apply(context.job)))
        except (JobError, ValueError):
            return
        valves = None if even is None else settings(context, even.throttles)
        if valves is None:
            continue
        # Valves that balance a loop do so whatever pump drives it.
        tries: list[list[Action]] = [[hose, valves]]
        tries += [[hose, valves, pump] for pump in pumps]
        cure = next((some for some in tries if care.cures(*some)), None)
        if cure is not None:
            yield care.with_(*cure)
