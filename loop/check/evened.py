"""Balancing valves set for the loop as it will be, with everything wrong in it corrected."""

from collections.abc import Iterator
from dataclasses import replace

from loop.balancing.balance import Balance, balance
from loop.check.job_changes import Care, everywhere, powered
from loop.check.throttle_actions import settings
from loop.hydraulics import build
from loop.words.actions import Action

# Fractions of a balance's angles to try where its full angles leave air in a throttled branch.
_LESS = (0.95, 0.9, 0.8)


def evened(care: Care) -> Iterator[Action]:
    """The valves with which each unit gets its need, if not always at the low edge.

    First those for the loop after care: otherwise dirt would be balanced around. Those for the loop
    as it is are a second way if no branch is dirty: dirt in shared parts affects all branches
    alike.
    """
    context = care.context
    if not context.network.forks or not context.flows or not context.settled:
        return
    done = powered(everywhere(care))
    if done.steps:
        even = balance(build(done.job))
        if even is not None:
            yield from _set(done, even)
    if context.balanced is not None and done.of_all_alike:
        yield from _set(Care(context, ()), context.balanced)


def _set(care: Care, even: Balance) -> Iterator[Action]:
    """The balancing valves, if they suffice; where legs hold air, also with less closing."""
    context = care.context
    if even.enough or (context.short and even.share >= 1):
        valves = settings(context, even.throttles)
        if valves is not None:
            yield care.with_(valves)
    if even.enough or not context.network.sections:
        return
    for share in _LESS:
        less = [replace(one, angle=float(round(share * one.angle))) for one in even.throttles]
        valves = settings(context, less)
        if valves is not None and care.cures(valves):
            yield care.with_(valves)
            return
