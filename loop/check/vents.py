"""Findings about vented loops: before the pump, or under water or near it."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.discharge_fixes import LEAST_VENT
from loop.check.drafts import Draft, draft
from loop.check.suction_high_points import rising
from loop.parts import VentedLoop
from loop.words import Action
from loop.words.actions import RemovePart


def vent_findings(context: Context) -> Iterator[Draft]:
    """part-order, of vented loops."""
    network = context.network
    for index, part in enumerate(network.parts):
        if isinstance(part, VentedLoop):
            if index < network.pump_index:
                yield _before_pump(context, index)
            elif network.heights[index] < LEAST_VENT:
                yield _low(context, index)


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


def _low(context: Context, index: int) -> Draft:
    height = context.network.heights[index]
    return draft(
        "part-order",
        # Its vent would let the sea into the boat.
        "danger" if height <= 0 else "warning",
        context.at(index),
        {
            "case": "vent-low" if height <= 0 else "vent-near",
            "part": context.addresses[index],
            "depth": -height if height < 0 else None,
            "height": height,
            "least": LEAST_VENT,
        },
    )
