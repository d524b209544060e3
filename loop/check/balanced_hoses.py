"""Larger hose for the unit that is shortest of water, with the branches rebalanced."""

from collections.abc import Collection, Iterator, Sequence

from loop.balancing.balance import balance
from loop.check.excessive_losses import narrow_barbs, narrow_parts
from loop.check.plan import Plan
from loop.check.pump_changes import stronger_or_new
from loop.check.result import CondenserResult
from loop.check.throttle_actions import valve_actions
from loop.check.wider_hose import wider_hose
from loop.hydraulics import build
from loop.job import JobError, bores_above
from loop.margins.speed import PRESSURE_MAX, SUCTION_MAX
from loop.parts import Hose
from loop.parts.friction import velocity
from loop.parts.step import narrower
from loop.words.actions import Action

# Larger sizes and stronger pumps to try: a loop far from enough needs a different purchase.
_SIZES, _PUMPS = 2, 3
# Share of the pump's head lost in hose from which another size is worthwhile: engineering estimate.
_LEAST_LOSS = 0.15


def hose_and_valves(plan: Plan, unit: CondenserResult) -> Iterator[Action]:
    """Enlarge the hoses of a unit's branch and rebalance with valves.

    Adds the weakest pump that suffices, where hose and valves do not and that pump alone does not.
    For loops in which one branch takes much more than it needs and a distant one gets much less.
    """
    network = plan.context.network
    branch = network.branches[network.condenser_part(unit.name)]
    own = _branch_hoses(plan, branch)
    if not branch or not own:
        return
    yield from _bores_with_valves(
        plan, own, bores_above(min(own.values())), stronger_or_new(plan)[:_PUMPS]
    )


def trunk_and_valves(plan: Plan) -> Iterator[Action]:
    """Enlarge the narrow hoses that all branches share to a bore that carries the units' draw.

    For uneven branches, with the balancing valves: otherwise the greedy branch would take the gain.
    """
    context, network = plan.context, plan.context.network
    if not context.uneven or (duty := plan.duty) is None:
        return
    runs: dict[tuple[bool, float], list[int]] = {}
    for index, bore in _branch_hoses(plan, "").items():
        runs.setdefault((index < network.pump_index, bore), []).append(index)
    losses = {
        run: sum(context.point.stations[index].head_loss for index in hoses)
        for run, hoses in runs.items()
    }
    most = max(losses, key=losses.__getitem__, default=None)
    if most is None or losses[most] < _LEAST_LOSS * context.point.pump_head:
        return
    suction, bore = most
    limit = SUCTION_MAX if suction else PRESSURE_MAX
    sizes = [one for one in bores_above(bore) if velocity(duty.total_flow, one) <= limit]
    yield from _bores_with_valves(plan, dict.fromkeys(runs[most], bore), sizes)


def _branch_hoses(plan: Plan, branch: str) -> dict[int, float]:
    """The hoses of a branch ("" for the shared line), with their bores [m]."""
    network = plan.context.network
    return {
        index: part.inner_bore
        for index, part in enumerate(network.parts)
        if isinstance(part, Hose) and network.branches[index] == branch
    }


def narrow_and_valves(plan: Plan) -> Iterator[Action]:
    """A part or barbs narrower than the hose in its bore, with the valves that balance the loop."""
    if plan.context.uneven:
        for change in (*narrow_barbs(plan), *narrow_parts(plan)):
            yield from _with_valves(plan, change)


def _bores_with_valves(
    plan: Plan, hoses: dict[int, float], bores: Sequence[float], pumps: Collection[Action] = ()
) -> Iterator[Action]:
    """These hoses in the first of the bores [m] that cures, with valves; if need be with a pump.

    Only a pump that does not cure by itself is combined with them.
    """
    for bore in bores[:_SIZES]:
        narrow = [index for index, now in hoses.items() if narrower(now, bore)]
        yield from _with_valves(plan, wider_hose(plan.context, narrow, bore), pumps)


def _with_valves(plan: Plan, change: Action, pumps: Collection[Action] = ()) -> Iterator[Action]:
    """A change with the valves that then balance the loop; if need be with a pump."""
    context = plan.context
    try:
        even = balance(build(plan.followed_by(change).apply(context.job)))
    except (JobError, ValueError):
        return
    valves = None if even is None else valve_actions(context, even.throttles)
    if valves is None:
        return
    if plan.cures(change, valves):
        yield plan.followed_by(change, valves)
        return
    # Valves that balance a loop do so with any pump.
    weak = (pump for pump in pumps if not plan.cures(pump))
    pump = next((one for one in weak if plan.cures(change, valves, one)), None)
    if pump is not None:
        yield plan.followed_by(change, valves, pump)
