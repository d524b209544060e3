"""How far down a discharge must come for the units to have their water."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.job_changes import Care
from loop.check.result import CondenserResult
from loop.check.vent_height import vent_height
from loop.hydraulics.leg_report import LegState
from loop.job import Boat
from loop.job.attitude import lowest_immersion
from loop.margins.suction import STEPPED
from loop.parts import Discharge, VentedLoop
from loop.units import System
from loop.words.actions import Action, LowerLine, LowerOutlet, together
from loop.words.numbers import round_up, whole_down, whole_up

# Height of a discharge above the water [m] below which its stream is hard to see: common practice.
OUTLET_HEIGHT = 0.15


def lowered(care: Care, unit: CondenserResult) -> Iterator[Action]:
    """The unit's discharges at heights that give every unit its need."""
    yield from brought_low(care, _outlets(care.context, unit))


def brought_low(care: Care, outlets: set[int]) -> Iterator[Action]:
    """These discharges just above the water, where that cures; else as high as they may be.

    A hole in the hull is cut where outlets usually are, not at the first height that will do.
    """
    low = lowest_of(care.context, outlets)
    if low is None or not care.cures(*low.steps):
        return
    yield care.with_(*low.steps)
    yield care.with_(*brought_down(care.context, outlets, _highest(care, outlets)))


def lowest(care: Care, unit: CondenserResult) -> Action | None:
    """The unit's discharges just above the water; None where they are so already."""
    return lowest_of(care.context, _outlets(care.context, unit))


def lowest_of(context: Context, outlets: set[int]) -> Action | None:
    """The same of any discharges."""
    steps = [
        one
        for index in sorted(outlets)
        for one in brought_down(context, {index}, _usual(context, index))
    ]
    return together(steps) if steps else None


def usual_height(outlet: Discharge, boat: Boat, units: System) -> float:
    """Height [m] of a discharge just above the water, in whole inches or centimetres.

    Its stream is seen there, and heel and trim do not dip it, in waves or with people aboard.
    """
    waves = max(boat.wave_height, 2 * STEPPED)
    laden = boat.model_copy(update={"light_rise": 0.0, "wave_height": waves})
    dips = -lowest_immersion(0.0, outlet.off_centre, outlet.fore_aft, laden)
    return whole_up(max(OUTLET_HEIGHT, dips), units)


def lower_vent(care: Care, leg: LegState) -> Iterator[Action]:
    """The line to a vented loop no higher than the loop must be, or the units are."""
    if leg.decides != "vent":
        return
    context, units = care.context, care.context.job.units
    heights = [
        context.network.heights[context.network.condenser_part(unit.name)]
        for unit in context.condensers
    ]
    vents = [
        vent_height(context, index).least
        for index, part in enumerate(context.network.parts)
        if isinstance(part, VentedLoop) and index > context.network.pump_index
    ]
    level = round_up(max([*vents, *heights]), "height", units)
    if level < leg.top:
        yield from care.that_cure([LowerLine(level, leg.branch)])


def _highest(care: Care, outlets: set[int]) -> float:
    """Height [m], in whole inches or centimetres, that cures with these discharges no higher.

    They cure where they usually are.
    """
    context = care.context
    low = max(_usual(context, index) for index in outlets)
    high = max(context.network.heights[i] for i in outlets)
    while low < (middle := whole_down((low + high) / 2, context.job.units)):
        cures = care.cures(*brought_down(context, outlets, middle))
        low, high = (middle, high) if cures else (low, middle)
    return low


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


def _usual(context: Context, index: int) -> float:
    outlet = context.network.parts[index]
    assert isinstance(outlet, Discharge)
    return usual_height(outlet, context.job.boat, context.job.units)
