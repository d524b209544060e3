"""A pump with the hose for its flow, where neither alone suffices."""

import math
from collections.abc import Iterator
from itertools import islice

from loop.balancing.balance import balanced_at_share
from loop.check.context import Context
from loop.check.hose_changes import all_hoses_in, larger_bores
from loop.check.plan import Plan
from loop.check.pump_changes import pumps_on_supply, rated, stronger_or_new
from loop.check.result import CondenserResult
from loop.check.wider_hose import wider_hose
from loop.hydraulics import build
from loop.job import JobError, bores_above
from loop.margins.speed import PRESSURE_MAX, SUCTION_MAX
from loop.parts import Hose
from loop.parts.friction import velocity
from loop.parts.step import narrower
from loop.words.actions import Action

# Sizes to try, from the first that carries the flow.
_SIZES = 2


def pump_and_hose(plan: Plan, unit: CondenserResult) -> Iterator[Action]:
    """Catalogue pumps with the largest hose that the flow still sweeps."""
    for bore in larger_bores(plan, unit)[-1:]:
        hose = all_hoses_in(plan, bore)
        if plan.cures(hose):
            return
        for change in pumps_on_supply(plan):
            if not plan.cures(change) and plan.cures(hose, change):
                yield plan.followed_by(hose, change)


def pump_and_bore(plan: Plan) -> Iterator[Action]:
    """A pump, and hose that carries what the units draw: before the pump, or throughout.

    Throughout if the water would otherwise be too fast after the pump too. The pump is the weakest
    in the catalogue that suffices, or one rated for what the loop then draws.
    """
    context = plan.context
    duty = plan.duty
    if duty is None:
        return
    network = context.network
    after = network.pump_index
    fast = any(
        velocity(float(duty.line_flow[network.line_of[index]]), bore) > PRESSURE_MAX
        for index, bore in _hoses(context)
        if index > after
    )
    hoses = [(index, bore) for index, bore in _hoses(context) if fast or index < after]
    least = min((bore for _, bore in hoses), default=math.inf)
    above = bores_above(least, large=True)
    larger = (one for one in above if velocity(duty.total_flow, one) <= SUCTION_MAX)
    for bore in islice(larger, _SIZES):
        hose = wider_hose(context, [index for index, now in hoses if narrower(now, bore)], bore)
        if plan.cures(hose):
            return
        yield from _with_pump(plan, hose)


def _hoses(context: Context) -> list[tuple[int, float]]:
    """Every hose with its bore [m]."""
    parts = enumerate(context.network.parts)
    return [(index, part.inner_bore) for index, part in parts if isinstance(part, Hose)]


def _with_pump(plan: Plan, hose: Action) -> Iterator[Action]:
    """The hose with the weakest pump that then suffices."""
    pumps = stronger_or_new(plan)
    # If the strongest does not cure, no other does.
    if pumps and plan.cures(hose, pumps[-1]):
        yield plan.followed_by(hose, next(one for one in pumps if plan.cures(hose, one)))
        return
    try:
        job = plan.followed_by(hose).apply(plan.context.job)
        duty = balanced_at_share(build(job), plan.context.flow_margin)
    except (JobError, ValueError):
        return
    if duty is not None:
        yield plan.followed_by(hose, rated(plan.context, duty.pump_head, duty.total_flow))
