"""Falling legs that hold air: the one that costs a unit most, and the hose that would clear it."""

import math
from collections.abc import Iterator

from loop.check.context import Context
from loop.check.result import CondenserResult
from loop.hydraulics.leg_report import LegState
from loop.job import TRADE_BORES
from loop.parts import Hose
from loop.parts.friction import GRAVITY, velocity
from loop.words.actions import ChangeHose

# Share of the shut-off head from which the head lost to a leg's air is reported: engineering
# estimate.
_WORTH = 0.05


def costliest_leg(context: Context, unit: CondenserResult) -> LegState | None:
    """The leg on a unit's path whose air costs the most head; None if none costs much."""
    dear = dear_legs(context)
    legs = [leg for leg in _legs_of(context, unit) if leg in dear]
    return max(legs, key=lambda one: one.head_taken, default=None)


def sweep_legs(context: Context, unit: CondenserResult) -> Iterator[ChangeHose]:
    """Smaller hose in the legs that the water sweeps of air, but at the low edge may not."""
    for leg in _legs_of(context, unit):
        if leg.decides == "swept":
            yield from runs_full(context, leg)


def _legs_of(context: Context, unit: CondenserResult) -> list[LegState]:
    """The legs on a unit's first path."""
    condenser = context.network.condenser_part(unit.name)
    ways = (way for _, way in context.network.paths() if condenser in way)
    return list(context.legs_on(next(ways)))


def dear_legs(context: Context) -> list[LegState]:
    """The legs whose air costs enough head to report."""
    least = _WORTH * context.point.shutoff_head
    return [leg for leg in context.point.legs if leg.head_taken > least]


def runs_full(context: Context, leg: LegState) -> Iterator[ChangeHose]:
    """Smaller hose from the high point on, largest first, in which the water clears the air.

    In the line where the leg ends, then in the line where it begins, which is a branch if its water
    falls on into the shared line. None for a leg behind a vented loop, which lets air back in.
    """
    if leg.decides == "vent":
        return
    network = context.network
    first, last = network.places.index(leg.from_part), network.places.index(leg.to_part)
    for line in dict.fromkeys((network.line_of[last], network.line_of[first])):
        hoses = [
            index
            for index in range(first, last + 1)
            if isinstance(network.parts[index], Hose) and network.line_of[index] == line
        ]
        flow = max(float(context.point.line_flow[line]), 0.0)
        widest = max((network.parts[index].inner_bore for index in hoses), default=0.0)
        clears = [
            bore
            for bore in TRADE_BORES
            if bore < widest and velocity(flow, bore) > leg.clears[1] * math.sqrt(GRAVITY * bore)
        ]
        for bore in clears[:-3:-1]:
            yield ChangeHose(tuple(context.addresses[index] for index in hoses), bore)
