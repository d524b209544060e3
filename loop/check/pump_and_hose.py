"""A pump with the hose for its flow, where neither alone suffices."""

import math
from collections.abc import Iterator
from itertools import islice

from loop.balancing.balance import balanced_at_share
from loop.check.context import Context
from loop.check.hose_changes import hoses_in, larger_bores
from loop.check.job_changes import Care
from loop.check.pump_changes import pumps_like, rated, stronger_ones
from loop.check.result import CondenserResult
from loop.check.widened import widened
from loop.hydraulics import build
from loop.job import JobError, bores_above
from loop.margins.speed import PRESSURE_MAX, SUCTION_MAX
from loop.parts import Hose
from loop.parts.friction import velocity
from loop.parts.step import narrower
from loop.words.actions import Action

# Sizes to try, from the first that carries the flow.
_SIZES = 2


def pump_and_hose(care: Care, unit: CondenserResult) -> Iterator[Action]:
    """Catalogue pumps with the largest hose that the flow still sweeps."""
    for bore in larger_bores(care, unit)[-1:]:
        hose = hoses_in(care, bore)
        if care.cures(hose):
            return
        for change in pumps_like(care):
            if not care.cures(change) and care.cures(hose, change):
                yield care.with_(hose, change)


def pump_and_bore(care: Care) -> Iterator[Action]:
    """A pump, and hose that carries what the units draw: before the pump, or throughout.

    Throughout if the water would otherwise be too fast after the pump too. The pump is the weakest
    in the catalogue that suffices, or one rated for what the loop then draws.
    """
    context = care.context
    drawn = care.drawn
    if drawn is None:
        return
    network = context.network
    after = network.pump_index
    fast = any(
        velocity(float(drawn.line_flow[network.line_of[index]]), bore) > PRESSURE_MAX
        for index, bore in _hoses(context)
        if index > after
    )
    hoses = [(index, bore) for index, bore in _hoses(context) if fast or index < after]
    least = min((bore for _, bore in hoses), default=math.inf)
    larger = (one for one in bores_above(least) if velocity(drawn.total_flow, one) <= SUCTION_MAX)
    for bore in islice(larger, _SIZES):
        hose = widened(context, [index for index, now in hoses if narrower(now, bore)], bore)
        if care.cures(hose):
            return
        yield from _with_pump(care, hose)


def _hoses(context: Context) -> list[tuple[int, float]]:
    """Every hose with its bore [m]."""
    parts = enumerate(context.network.parts)
    return [(index, part.inner_bore) for index, part in parts if isinstance(part, Hose)]


def _with_pump(care: Care, hose: Action) -> Iterator[Action]:
    """The hose with the weakest pump that then suffices."""
    pumps = stronger_ones(care)
    # If the strongest does not cure, no other does.
    if pumps and care.cures(hose, pumps[-1]):
        yield care.with_(hose, next(one for one in pumps if care.cures(hose, one)))
        return
    try:
        job = care.with_(hose).apply(care.context.job)
        drawn = balanced_at_share(build(job), care.context.spare)
    except (JobError, ValueError):
        return
    if drawn is not None:
        yield care.with_(hose, rated(care.context, drawn.pump_head, drawn.total_flow))
