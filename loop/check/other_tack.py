"""Flow of the units while heel lifts the outlets, on the tack on which they do not dip."""

import math
from collections.abc import Iterator

from loop.check.air import flows_with
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.job import Boat
from loop.parts import Discharge
from loop.words.actions import RaiseOutlet, together

# Rise of an outlet [m] from which it is considered: engineering estimate, two inches.
_RISES = 0.05


def tack_findings(context: Context) -> Iterator[Draft]:
    """lifted-short: a unit with enough water upright, and too little with its outlet lifted."""
    if not context.flows or context.short:
        return
    for side in (1.0, -1.0):
        rises = {
            index: _rise(part, context.job.boat, side)
            for index, part in enumerate(context.network.parts)
            if isinstance(part, Discharge)
        }
        yield from _short(context, {i: rise for i, rise in rises.items() if rise > _RISES})


def _rise(outlet: Discharge, boat: Boat, side: float) -> float:
    """Rise of an outlet [m] by heel with this side up, 1 or -1, and by trim at its worst."""
    heeled = side * (outlet.off_centre or 0.0) * math.sin(abs(boat.heel))
    return heeled + abs(outlet.fore_aft or 0.0) * math.sin(abs(boat.trim))


def _short(context: Context, rises: dict[int, float]) -> Iterator[Draft]:
    """The unit that is shortest with these outlets raised [m] above the water."""
    heights, boat = context.network.heights, context.job.boat
    raised = [RaiseOutlet(context.addresses[i], heights[i] + up) for i, up in rises.items()]
    flows = flows_with(context, together(raised)) if raised else None
    if flows is None:
        return
    left = [(flows[context.network.condenser_part(u.name)], u) for u in context.condensers]
    flow, unit = min(left, key=lambda one: one[0] / one[1].needed_flow)
    if flow >= unit.needed_flow:
        return
    highest = max(rises, key=lambda index: rises[index])
    yield draft(
        "lifted-short",
        "note",
        context.at(highest),
        {
            "part": context.addresses[highest],
            "rise": rises[highest],
            "heel": abs(boat.heel) or None,
            "trim": abs(boat.trim) or None,
            "unit": unit.name,
            "flow": flow,
            "needed": unit.needed_flow,
        },
    )
