"""How far down a discharge must come for the units to have their water."""

import math
from collections.abc import Iterator

from loop.check.context import Context
from loop.check.job_changes import Care
from loop.check.result import CondenserResult
from loop.hydraulics.leg_report import LegState
from loop.words.actions import Action, LowerLine, LowerOutlet, together
from loop.words.numbers import round_up

# Height of a discharge above the water [m] below which its stream is hard to see: common practice.
OUTLET_HEIGHT = 0.15
# How high above the waterline a vented loop must be for heel and load to leave it dry [m]: common
# practice.
LEAST_VENT = 0.15


def lowered(care: Care, unit: CondenserResult) -> Iterator[Action]:
    """The greatest height of the unit's discharges that gives every unit its need."""
    outlets = _outlets(care.context, unit)
    level = highest_outlet(care, outlets)
    if level is not None:
        yield care.with_(*brought_down(care.context, outlets, level))


def lowest(care: Care, unit: CondenserResult) -> Action | None:
    """The unit's discharges as low as a stream is still seen; None where they are so already."""
    outlets = _outlets(care.context, unit)
    steps = brought_down(care.context, outlets, _lowest_steps(care.context) * _step(care.context))
    return together(steps) if steps else None


def lower_vent(care: Care, leg: LegState) -> Iterator[Action]:
    """The line to a vented loop no higher than the loop must be, or the units are."""
    if leg.decides != "vent":
        return
    context, units = care.context, care.context.job.units
    heights = [
        context.network.heights[context.network.condenser_part(unit.name)]
        for unit in context.condensers
    ]
    level = round_up(max([LEAST_VENT, *heights]), "height", units)
    lower = LowerLine(level, leg.branch)
    if level < leg.top and care.cures(lower):
        yield care.with_(lower)


def highest_outlet(care: Care, outlets: set[int]) -> float | None:
    """Height [m], in whole inches or centimetres, that cures with these discharges no higher."""
    context = care.context
    step, low = _step(context), _lowest_steps(context)
    high = math.ceil(max(context.network.heights[i] for i in outlets) / step)

    def cures(steps: int) -> bool:
        return care.cures(*brought_down(context, outlets, steps * step))

    if high <= low or not cures(low):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if cures(middle) else (low, middle)
    return low * step


def brought_down(context: Context, outlets: set[int], level: float) -> list[Action]:
    """These outlets lowered to `level` [m], where they stand higher."""
    heights = context.network.heights
    return [
        LowerOutlet(context.addresses[index], level)
        for index in sorted(outlets)
        if heights[index] > level
    ]


def _outlets(context: Context, unit: CondenserResult) -> set[int]:
    """The discharges of a unit's ways."""
    index = context.network.condenser_part(unit.name)
    return {way[-1] for _, way in context.network.paths() if index in way}


def _step(context: Context) -> float:
    """An inch or a centimetre [m], to which heights are rounded."""
    return 0.0254 if context.job.units == "us" else 0.01


def _lowest_steps(context: Context) -> int:
    return math.ceil(OUTLET_HEIGHT / _step(context))
