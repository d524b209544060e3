"""Findings about vented loops: before the pump, under water, or too near it."""

from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.suction_high_points import rising_line
from loop.check.vent_height import (
    LEAST_VENT,
    VentHeight,
    deepest,
    least_vent,
    outlets_of,
    vent_height,
)
from loop.job import JobError
from loop.parts import Hose, VentedLoop
from loop.words import Action, Level
from loop.words.actions import RemovePart, SetHeights
from loop.words.base import hose_before
from loop.words.numbers import whole_up


def vent_findings(context: Context) -> Iterator[Draft]:
    """part-order, for vented loops."""
    network = context.network
    for index, part in enumerate(network.parts):
        if isinstance(part, VentedLoop):
            if index < network.pump_index:
                yield _before_pump(context, index)
            else:
                yield from _low(context, index)


def _before_pump(context: Context, index: int) -> Draft:
    """Above the water the pump draws air through it; below, the sea comes in.

    It serves no purpose there: a line that ends below the water is kept from flooding the boat by a
    vented loop after the pump.
    """
    address, height = context.addresses[index], context.network.heights[index]
    case = "vent-in-suction" if height > 0 else "vent-in-suction-low"
    values = {"case": case, "part": address, "depth": -height if height < 0 else None}
    out = RemovePart(address)

    def ways() -> Iterator[Action]:
        for path in context.air_paths:
            yield from rising_line(context, path.suction)
        yield out

    return draft("part-order", "danger", context.place(index), values, ways)


def _low(context: Context, index: int) -> Iterator[Draft]:
    vent = vent_height(context, index)
    case, level = _case(vent)
    if case is None:
        return
    address = context.addresses[index]
    values = {
        "case": case,
        "part": address,
        "depth": max(vent.depth, -vent.height) if vent.depth > 0 or vent.height < 0 else None,
        "height": vent.height,
        "room": -vent.depth,
        "least": vent.least,
        "waves": context.job.boat.wave_height,
    }
    yield draft("part-order", level, context.place(index), values, partial(_cures, context, index))


def _case(vent: VentHeight) -> tuple[str | None, Level]:
    """What is wrong with a vent's height, if anything, and its level.

    A vent under water lets the sea into the boat: continuously by load or heel, a little at a time
    by waves.
    """
    if vent.height <= 0:
        return "vent-low", "danger"
    if vent.depth >= 0:
        return "vent-heeled", "danger"
    if vent.height < LEAST_VENT:
        return "vent-near", "warning"
    if vent.height < LEAST_VENT + vent.heeled:
        return "vent-near-heeled", "warning"
    return ("vent-waves" if vent.height < vent.least else None), "warning"


def _cures(context: Context, index: int) -> Iterator[Action]:
    """Remove the vented loop if no outlet behind it ever dips; otherwise raise it."""
    if not any(deepest(outlet, context.job.boat) > 0 for outlet in outlets_of(context, index)):
        yield RemovePart(context.addresses[index])
    yield from raised(context, index)


def raised(context: Context, index: int) -> Iterator[Action]:
    """Raise the vented loop to the required height, with the end of the hose before it, if any.

    Then as high as it must be if it lies half a beam off where the file does not say.
    """
    vent = context.network.parts[index]
    assert isinstance(vent, VentedLoop)
    job, units = context.job, context.job.units
    try:
        hose = hose_before(job, context.addresses[index])
    except JobError:
        return
    assert isinstance(hose.part, Hose)
    least = vent_height(context, index).least
    placed = (least_vent(job.boat, outlet, vent) for outlet in outlets_of(context, index))
    for height in (least, max(placed, default=least)):
        yield SetHeights(hose.address, ((hose.part.length, whole_up(height, units)),))
