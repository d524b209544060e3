"""Flow of the units while a light load lifts the outlets, or heel on the tack without a dip."""

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
    """lifted-short: a unit with enough water upright and laden, too little with outlets lifted."""
    if not context.has_flow or context.any_short:
        return
    for side in (0.0, 1.0, -1.0):
        rises = {
            index: _rise(part, context.job.boat, side)
            for index, part in enumerate(context.network.parts)
            if isinstance(part, Discharge)
        }
        found = list(_short(context, {i: up for i, up in rises.items() if up > _RISES}, side))
        yield from found
        if found and side == 0:
            return


def hardly_rises(context: Context) -> bool:
    """Whether load alone lifts no outlet so far: then `tack_findings` finds a note at most."""
    return context.job.boat.light_rise <= _RISES


def _rise(outlet: Discharge, boat: Boat, side: float) -> float:
    """Rise of an outlet [m] by a light load and, with this side up (1 or -1), by heel and trim."""
    heeled = side * (outlet.off_centre or 0.0) * math.sin(abs(boat.heel))
    trimmed = abs(side * (outlet.fore_aft or 0.0)) * math.sin(abs(boat.trim))
    return heeled + trimmed + boat.light_rise


def _short(context: Context, rises: dict[int, float], side: float) -> Iterator[Draft]:
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
        "note" if side else "warning",
        context.place(highest),
        {
            "case": None if side else "light",
            "part": context.addresses[highest],
            "rise": rises[highest],
            "heel": abs(side * boat.heel) or None,
            "trim": abs(side * boat.trim) or None,
            "unit": unit.name,
            "flow": flow,
            "needed": unit.needed_flow,
        },
    )
