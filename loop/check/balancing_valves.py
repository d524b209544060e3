"""Balancing valves set for the loop as it will be, with everything wrong in it corrected."""

from collections.abc import Iterator
from dataclasses import replace

from loop.balancing.balance import Balance, balance
from loop.check.maintenance import with_all_cleaned, with_rated_voltage
from loop.check.plan import Plan
from loop.check.throttle_actions import valve_actions
from loop.hydraulics import build
from loop.words.actions import Action

# Fractions of a balance's angles to try where its full angles leave air in a throttled branch.
_ANGLE_SHARES = (0.95, 0.9, 0.8)


def balancing_valves(plan: Plan) -> Iterator[Action]:
    """The valves with which each unit gets its need, if not always at the low edge.

    First those for the loop after maintenance: otherwise dirt would be balanced around. Those for
    the loop as it is are a second way if no branch is dirty: dirt in shared parts affects all
    branches alike.
    """
    context = plan.context
    if not context.network.forks or not context.has_flow or not context.settled:
        return
    done = with_rated_voltage(with_all_cleaned(plan))
    if done.steps:
        yield from valves_after(done)
    if context.useful_balance is not None and done.only_shared_parts:
        yield from _valve_settings(Plan(context, ()), context.useful_balance)


def valves_after(plan: Plan) -> Iterator[Action]:
    """The valves for the loop with a plan done, with the plan."""
    even = balance(build(plan.job))
    if even is not None:
        yield from _valve_settings(plan, even)


def _valve_settings(plan: Plan, even: Balance) -> Iterator[Action]:
    """The balancing valves, if they suffice; where legs hold air, also with less closing."""
    context = plan.context
    if even.enough or (context.any_short and even.share >= 1):
        valves = valve_actions(context, even.throttles)
        if valves is not None:
            yield plan.followed_by(valves)
    if even.enough or not context.network.sections:
        return
    for share in _ANGLE_SHARES:
        less = [replace(one, angle=float(round(share * one.angle))) for one in even.throttles]
        valves = valve_actions(context, less)
        if valves is not None and plan.cures(valves):
            yield plan.followed_by(valves)
            return
