"""Findings about water speed in through-hulls and seacocks, and what widens them."""

import math
from collections.abc import Iterator
from functools import partial
from itertools import chain

from loop.check.air import flows_with
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.excess_flow import pump_too_large, slower_first, slowing_fix_count
from loop.check.excessive_losses import usual_grate
from loop.check.operating_results import npsh_heads
from loop.check.suction_pressure import LEAST_UNKNOWN
from loop.check.too_fast import is_faster
from loop.check.wider_hose import wider_hose
from loop.job import bores_above
from loop.margins.speed import SUCTION_MAX, inlet_speeds, part_speeds
from loop.margins.suction import NPSH_RATIO
from loop.parts import Hose, Intake
from loop.parts.friction import velocity
from loop.parts.step import narrower
from loop.words import Action
from loop.words.actions import ChangeBore, CleanGrate, FitFullBore, together

# Available over least suction head from which it is ample, and speed over its limit up to which
# that excuses the speed: engineering estimates.
_AMPLE, LITTLE = 2.0, 1.25


def inlets_fast(context: Context, waits: bool = True) -> Iterator[Draft]:
    """inlet-fast: through-hulls and seacocks before the pump, by the limit of a suction hose.

    With `waits`, where all else is ample it is a note for the next haul-out; parts that are yet to
    be bought do not wait.
    """
    for index, speed in _fast_inlets(context).items():
        ample = waits and _harmless(context, speed)
        yield draft(
            "inlet-fast",
            "note" if ample else "warning",
            context.place(index),
            {"case": _case(context, index, speed, ample), "speed": speed, "limit": SUCTION_MAX},
            lambda: slower_first(context, wider_inlets(context)),
            offer_count=partial(slowing_fix_count, context),
        )


def _case(context: Context, index: int, speed: float, ample: bool) -> str | None:
    """Whether the grate, not the bore, is where the water is this fast; and whether it can wait."""
    bore, line = context.network.parts[index].inner_bore, context.network.line_of[index]
    grated = isinstance(context.network.parts[index], Intake)
    within = velocity(float(context.point.line_flow[line]), bore)
    grate = grated and is_faster(speed, within)
    if ample:
        return "grate-ample grate" if grate else "ample"
    return "grate" if grate else None


def _harmless(context: Context, speed: float) -> bool:
    """Whether the speed does no harm yet: no boat is hauled for it alone.

    The units have their need at the low edge from a pump that is not too large, suction head is
    ample, and the speed is little over its limit.
    """
    available, required = npsh_heads(context.point)
    least = LEAST_UNKNOWN if math.isnan(required) else NPSH_RATIO * required
    fed = all(unit.flow_low >= unit.needed_flow for unit in context.running_units)
    slow = speed <= LITTLE * SUCTION_MAX and available >= _AMPLE * least
    return fed and slow and not pump_too_large(context)


def _fast_inlets(context: Context) -> dict[int, float]:
    """Speeds over the limit [m/s], by part."""
    return {i: speed for i, speed in inlet_speeds(context.point) if speed > SUCTION_MAX}


def wider_inlets(context: Context) -> Iterator[Action]:
    """Bores at which all fast inlets run within their limit, with the fast suction hoses.

    From the narrowest of the other suction hoses on: one bore throughout costs the least head.
    """
    parts, fast = context.network.parts, list(_fast_inlets(context))
    if not fast:
        return
    hoses = [s.index for s in part_speeds(context.point) if s.suction and s.speed > s.most]
    flow = max(float(context.point.line_flow[context.network.line_of[i]]) for i in fast)
    kept = [
        part.inner_bore
        for i, part in enumerate(parts[: context.network.pump_index])
        if isinstance(part, Hose) and i not in hoses
    ]
    for bore in bores_above(0.0, large=True):
        if velocity(flow, bore) > SUCTION_MAX or narrower(bore, min(kept, default=0.0)):
            continue
        smaller = [i for i in hoses if narrower(parts[i].inner_bore, bore)]
        wide = [wider_hose(context, smaller, bore)] if smaller else []
        done = {address for one in wide for address in one.fittings}
        others = (_widen_inlet(context, i, bore, context.addresses[i] in done) for i in fast)
        action = together([*wide, *chain.from_iterable(others)])
        yield action
        if all(isinstance(step, CleanGrate) for step in action.steps) and _all_within_limit(
            context, action
        ):
            return


def _all_within_limit(context: Context, action: Action) -> bool:
    """Whether all inlet bores are wide enough for the flow after an action."""
    flows, parts = flows_with(context, action), context.network.parts
    return flows is not None and all(
        velocity(flows[i], parts[i].inner_bore) <= SUCTION_MAX
        for i, _ in inlet_speeds(context.point)
    )


def _widen_inlet(context: Context, index: int, bore: float, done: bool) -> Iterator[Action]:
    """Actions that bring a fast inlet to a bore [m]; `done` if a hose change includes it."""
    part, address = context.network.parts[index], context.addresses[index]
    wider = narrower(part.inner_bore, bore)
    if wider and not done:
        yield ChangeBore(address, bore)
    if isinstance(part, Intake):
        if part.narrow_grate:
            yield usual_grate(context, index, max(bore, part.inner_bore))
        elif part.overgrown:
            yield CleanGrate(address, part.clean)
    elif not wider and not done:
        yield FitFullBore(address)
