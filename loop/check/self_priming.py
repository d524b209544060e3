"""What keeps a self-priming pump above the sea from blowing its air out."""

import math
from collections.abc import Iterator, Sequence

from loop.check.context import Context
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.hydraulics import Network
from loop.hydraulics.line_profile import Point, Profile, profile
from loop.parts import CheckValve, Hose, Pump
from loop.records import dataclass
from loop.words.actions import RemovePart, SetHeights
from loop.words.numbers import round_up

# Height above water to which a small self-priming pump lifts water from an empty hose [m]:
# engineering estimate.
_LIFT = 1.5
# Rise [m] after a check valve whose water a self-priming pump cannot lift with its air: engineering
# estimate, a hand's breadth.
_COLUMN = 0.1


def surely_primes(pump: Pump) -> float:
    """Height above the water [m] from which a pump that primes itself surely does.

    Its maker's priming lift, or what small pumps manage.
    """
    own = pump.curve.priming_lift
    return _LIFT if own is None else own


def shut_in_findings(context: Context) -> Iterator[Draft]:
    """part-order, of what holds water over a pump above the sea that has air to blow out.

    Check valves, and dips. Nothing does where one way out is free of both.
    """
    network, pump = context.network, context.network.pump_index
    above = network.heights[pump] + context.job.boat.light_rise
    if above <= 0 or not network.pump.curve.self_priming:
        return
    valves, dips = dict[int, float](), list[_Dip]()
    for _, way in network.paths():
        if any(network.parts[index].shut for index in way):
            continue
        held = {
            index: column
            for index in way
            if isinstance(network.parts[index], CheckValve) and index > pump
            if (column := _highest_after(network, way, index) - network.heights[index]) > _COLUMN
        }
        dip = _deepest_dip(profile(network, way))
        deep = dip is not None and _too_deep(network, above, dip)
        if not held and not deep:
            return
        valves |= {index: min(column, valves.get(index, column)) for index, column in held.items()}
        dips += [dip] if dip is not None and deep else []
    for index, column in valves.items():
        address = context.addresses[index]
        yield draft(
            "part-order",
            "warning",
            context.place(index),
            {"case": "shut-in", "part": address, "column": column},
            fixed_candidates(RemovePart(address)),
        )
    if dips:
        yield _dip_found(context, above, min(dips, key=lambda dip: dip.column))


@dataclass(frozen=True)
class _Dip:
    """A low point after the pump that holds water in the way of the pump's air.

    ``column`` is the head of it [m] over that point, and ``level`` the height [m] to which it
    stands in both arms with the pump stopped.
    """

    low: Point
    column: float
    level: float


def _too_deep(network: Network, above: float, dip: _Dip) -> bool:
    """Whether a dip, with the suction's lift, is more than such pumps surely manage.

    A check valve before the pump keeps it full: it has no air to blow out.
    """
    before = network.parts[: network.pump_index]
    much = dip.column > _COLUMN and above + dip.column > surely_primes(network.pump)
    return much and not any(isinstance(part, CheckValve) for part in before)


def _dip_found(context: Context, above: float, dip: _Dip) -> Draft:
    address, units = context.addresses[dip.low.part], context.job.units
    raised = SetHeights(address, ((dip.low.along, round_up(dip.level, "height", units)),))
    return draft(
        "part-order",
        "warning",
        context.place(dip.low.part, dip.low.along),
        {"case": "dip", "part": address, "column": dip.column, "height": above},
        fixed_candidates(raised),
    )


def _deepest_dip(way: Profile) -> _Dip | None:
    """The low point after the pump with the most water for air to push over the next high point.

    Air pushes the water of one arm up in the other.
    """
    points = way.points[way.pump :]
    heights = [point.height for point in points]
    dips = list[_Dip]()
    for at in range(1, len(points) - 1):
        low, crest = heights[at], max(heights[at:])
        level = min(max(heights[: at + 1]), crest)
        dips.append(_Dip(points[at], min(2 * level - low, crest) - low, level))
    return max(dips, key=lambda dip: dip.column, default=None)


def _highest_after(network: Network, path: Sequence[int], after: int) -> float:
    """Height [m] of the highest point of a way past one of its parts."""
    parts = [network.parts[index] for index in path if index > after]
    hoses = (part.points for part in parts if isinstance(part, Hose))
    return max((height for points in hoses for _, height in points), default=-math.inf)
