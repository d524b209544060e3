"""Vented loops that keep the sea out of a line whose outlet it reaches: fitted or raised."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.through_hulls import before_outlet
from loop.check.vent_height import least_vent
from loop.check.vents import raised
from loop.parts import Condenser, Discharge, Hose, VentedLoop
from loop.words.actions import Action, FitVent
from loop.words.base import start_height
from loop.words.numbers import whole_up


def siphon_break_fixes(context: Context, outlet: int) -> Iterator[Action]:
    """Raise the vented loop before a discharge, or fit one at the highest point past the unit.

    Higher if its vent requires. Of several hoses, in the one that rises highest.
    """
    network, line = context.network, before_outlet(context, outlet)
    vents = [index for index in line if isinstance(network.parts[index], VentedLoop)]
    if vents:
        yield from raised(context, vents[-1])
        return
    units = [index for index in line if isinstance(network.parts[index], Condenser)]
    places = [
        (height, along, context.addresses[index])
        for index in line
        if isinstance(network.parts[index], Hose) and index > max(units, default=-1)
        for along, height in _points(context, index)
    ]
    if not places:
        return
    part = network.parts[outlet]
    assert isinstance(part, Discharge)
    high, along, hose = max(places, key=lambda place: place[0])
    least = whole_up(least_vent(context.job.boat, part), context.job.units)
    yield FitVent(hose, along, max(high, least))


def _points(context: Context, index: int) -> list[tuple[float, float]]:
    """Distances and heights [m] of a hose, without its far end: there the next part begins."""
    hose = context.network.parts[index]
    assert isinstance(hose, Hose)
    return [(0.0, start_height(context.job, context.addresses[index])), *hose.points[:-1]]
