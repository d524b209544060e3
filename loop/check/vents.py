"""Findings about vented loops: before the pump, or under water or near it."""

from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.suction_high_points import rising
from loop.check.vent_height import LEAST_VENT, VentHeight, vent_height
from loop.job import JobError
from loop.parts import Hose, VentedLoop
from loop.words import Action, Level
from loop.words.actions import RemovePart, SetHeights
from loop.words.base import hose_before
from loop.words.numbers import whole_up


def vent_findings(context: Context) -> Iterator[Draft]:
    """part-order, of vented loops."""
    network = context.network
    for index, part in enumerate(network.parts):
        if isinstance(part, VentedLoop):
            if index < network.pump_index:
                yield _before_pump(context, index)
            else:
                yield from _low(context, index)


def _before_pump(context: Context, index: int) -> Draft:
    """The pump draws air through it where it stands above the water, the sea comes in below.

    It is there for nothing: what ends below the water is kept from filling the boat by a loop after
    the pump.
    """
    address, height = context.addresses[index], context.network.heights[index]
    case = "vent-in-suction" if height > 0 else "vent-in-suction-low"
    values = {"case": case, "part": address, "depth": -height if height < 0 else None}
    out = RemovePart(address)

    def ways() -> Iterator[Action]:
        for path in context.air:
            yield from rising(context, path.suction)
        yield out

    return draft("part-order", "danger", context.at(index), values, ways)


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
    yield draft("part-order", level, context.at(index), values, partial(raised, context, index))


def _case(vent: VentHeight) -> tuple[str | None, Level]:
    """What is wrong with a vent's height, if anything, and how bad it is.

    What is under water lets the sea into the boat: for good by load or heel, a little at a time by
    waves.
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


def raised(context: Context, index: int) -> Iterator[Action]:
    """The vented loop as high as it must be, with the end of the hose before it, if it has one."""
    job, units = context.job, context.job.units
    try:
        hose = hose_before(job, context.addresses[index])
    except JobError:
        return
    assert isinstance(hose.part, Hose)
    level = whole_up(vent_height(context, index).least, units)
    yield SetHeights(hose.address, ((hose.part.length, level),))
