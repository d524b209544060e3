"""What might cure too little flow, the least change first."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.discharge_fixes import lowered, lowest
from loop.check.falling_legs import costliest_leg, smaller_hose
from loop.check.job_changes import (
    cared_for,
    larger_hose,
    rated_pump,
    rested_supply,
    scoop_turned,
    stronger_pump,
)
from loop.check.shared import Shared
from loop.check.throttle_actions import settings
from loop.parts import Seacock
from loop.words.actions import Action, SetValve, together


def more_flow(context: Context, number: int) -> Iterator[Action]:
    """Changes that give every unit its need at the low end of the band.

    A unit behind a shut valve has its own; the others share theirs, those of the unit that is
    shortest of water.
    """
    shut = context.shut_before(context.condensers[number].name)
    yield from opened(context, shut) if shut else more_for_all(context)


def more_for_all(context: Context) -> Iterator[Action]:
    """Changes that give every running unit its need at the low end of the band."""
    kept = context.fixes
    yield from kept.setdefault("more flow", Shared(_more_for_all(context)))


def _more_for_all(context: Context) -> Iterator[Action]:
    if context.balanced is not None:
        valves = settings(context, context.balanced.throttles)
        if valves is not None and context.balanced.enough:
            yield valves
    unit = context.condensers[context.shortest]
    care = cared_for(context, context.shortest)
    if care.steps and care.cures():
        yield care.with_()
    yield from scoop_turned(care)
    leg = costliest_leg(context, unit)
    if leg is not None:
        yield from smaller_hose(context, leg)
    yield from lowered(care, unit)
    yield from rested_supply(care)
    yield from larger_hose(care, unit)
    yield from stronger_pump(care, unit)
    yield from rated_pump(care)
    low = lowest(care, unit)
    if low is not None:
        for change in (*larger_hose(care, unit), *stronger_pump(care, unit)):
            yield together([low, change])


def opened(context: Context, shut: list[int]) -> Iterator[Action]:
    """The shut parts opened, where all of them are valves."""
    if all(isinstance(context.network.parts[index], Seacock) for index in shut):
        yield together(SetValve(context.addresses[index], 0.0) for index in shut)
