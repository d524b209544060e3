"""How far a discharge must come down for the units to get their water."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.plan import Plan
from loop.check.result import CondenserResult
from loop.check.vent_height import vent_height
from loop.hydraulics.leg_report import LegState
from loop.job import Boat
from loop.job.attitude import lowest_immersion
from loop.margins.suction import SINKAGE
from loop.parts import Discharge, VentedLoop
from loop.units import System
from loop.words.actions import Action, LowerLine, LowerOutlet, together
from loop.words.numbers import round_up, whole_down, whole_up

# Least height of a discharge above the water [m] at which its stream is easy to see: common
# practice.
OUTLET_HEIGHT = 0.15


def lower_discharges(plan: Plan, unit: CondenserResult) -> Iterator[Action]:
    """Lower the unit's discharges to give every unit its need."""
    yield from lower_outlets(plan, _outlets(plan.context, unit))


def lower_outlets(plan: Plan, outlets: set[int]) -> Iterator[Action]:
    """Lower these discharges to just above the water, if that cures; else only as far as needed.

    A hole in the hull is cut where outlets usually are, not at the first height that suffices.
    """
    low = outlets_at_water(plan.context, outlets)
    if low is None or not plan.cures(*low.steps):
        return
    yield plan.followed_by(*low.steps)
    yield plan.followed_by(*lowered_to(plan.context, outlets, _highest_curing(plan, outlets)))


def discharges_at_water(plan: Plan, unit: CondenserResult) -> Action | None:
    """The unit's discharges just above the water; None if they already are."""
    return outlets_at_water(plan.context, _outlets(plan.context, unit))


def outlets_at_water(context: Context, outlets: set[int]) -> Action | None:
    """These discharges just above the water; None if they already are."""
    steps = [
        one
        for index in sorted(outlets)
        for one in lowered_to(context, {index}, _usual_height_of(context, index))
    ]
    return together(steps) if steps else None


def usual_height(outlet: Discharge, boat: Boat, units: System) -> float:
    """Usual height [m] of a discharge just above the water, in whole inches or centimeters.

    Its stream is visible there, and heel and trim do not dip it, in waves or with people aboard.
    """
    waves = max(boat.wave_height, 2 * SINKAGE)
    laden = boat.model_copy(update={"light_rise": 0.0, "wave_height": waves})
    dips = -lowest_immersion(0.0, outlet.off_centre, outlet.fore_aft, laden)
    return whole_up(max(OUTLET_HEIGHT, dips), units)


def lower_vent(plan: Plan, leg: LegState) -> Iterator[Action]:
    """Lower the line to a vented loop to the height that the loop and the units require."""
    if leg.decides != "vent":
        return
    context, units = plan.context, plan.context.job.units
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
        yield from plan.that_cure([LowerLine(level, leg.branch)])


def _highest_curing(plan: Plan, outlets: set[int]) -> float:
    """Greatest height [m], in whole inches or centimeters, to which lowering the discharges cures.

    Assumes that the usual height cures.
    """
    context = plan.context
    low = max(_usual_height_of(context, index) for index in outlets)
    high = max(context.network.heights[i] for i in outlets)
    while low < (middle := whole_down((low + high) / 2, context.job.units)):
        cures = plan.cures(*lowered_to(context, outlets, middle))
        low, high = (middle, high) if cures else (low, middle)
    return low


def lowered_to(context: Context, outlets: set[int], level: float) -> list[Action]:
    """These outlets lowered to `level` [m], if they are above it."""
    heights = context.network.heights
    return [
        LowerOutlet(context.addresses[index], level)
        for index in sorted(outlets)
        if heights[index] > level
    ]


def _outlets(context: Context, unit: CondenserResult) -> set[int]:
    """The discharges on a unit's paths."""
    index = context.network.condenser_part(unit.name)
    return {way[-1] for _, way in context.network.paths() if index in way}


def _usual_height_of(context: Context, index: int) -> float:
    outlet = context.network.parts[index]
    assert isinstance(outlet, Discharge)
    return usual_height(outlet, context.job.boat, context.job.units)
