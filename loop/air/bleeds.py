"""Bleed valves that help, do nothing, draw air in, or are missing."""

from collections.abc import Sequence
from typing import Literal

from loop.air.high_points import HighPoint, LowPoint, Side
from loop.hydraulics import OperatingPoint
from loop.hydraulics.gauge_pressure import draws_air, gauge_pressure
from loop.hydraulics.line_profile import LEAST_SWING, Point, Profile, is_on_flat
from loop.records import dataclass

# Distance from the pump [m] within which a bleed counts as at its outlet: engineering estimate, an
# arm's reach.
_AT_OUTLET = 0.5

BleedPlace = Literal["high point", "pump outlet", "low point", "slope"]


@dataclass(frozen=True)
class BleedJudgement:
    """What one bleed valve does.

    ``part`` is its index; ``place`` where it sits; ``high_point`` the high point it sits at, or,
    for a bleed at a low point or on a slope, the one to move it to (None if there is none).
    ``serves_pump``: it also frees an air-bound pump. ``lets_out_air`` is false for a bleed at a low
    point, on a slope (it would empty only the leg below it, and the air above stays; no credit is
    given), or on a suction hump above the waterline. ``drains``: it lets air out only when opened
    by hand, since the line there drains when the pump stops and the air is back at the next start.
    ``draws_air``: opened with water flowing, it lets air in. A bleed above the waterline is opened
    while the line fills and closed once water runs out of it; one below the waterline, with the
    pump stopped.
    """

    part: int
    distance: float
    height: float
    side: Side
    place: BleedPlace
    high_point: int | None
    serves_pump: bool
    lets_out_air: bool
    drains: bool
    gauge_pressure: float
    draws_air: bool


@dataclass(frozen=True)
class ProposedBleed:
    """A bleed valve to add: on a part, ``along`` [m] from its start, or else just after it.

    ``high_point`` is the high point that it vents, None for one that only frees the pump.
    ``draws_air``: gauge pressure there is negative with water flowing, as in `BleedJudgement`.
    """

    reason: Literal["pump outlet", "high point"]
    distance: float
    height: float
    part: int
    along: float
    on_part: bool
    high_point: int | None
    draws_air: bool

    @property
    def key(self) -> tuple[int, float]:
        """Equal for the same location on two paths that share it."""
        return self.part, round(self.along, 6)


def judge_bleeds(
    line: Profile,
    high_points: Sequence[HighPoint],
    low_points: Sequence[LowPoint],
    point: OperatingPoint,
) -> tuple[BleedJudgement, ...]:
    """What each bleed valve on a path does, in flow order."""
    return tuple(
        _judgement(line, high_points, low_points, point, position) for position in line.bleeds
    )


def _judgement(
    line: Profile,
    high_points: Sequence[HighPoint],
    low_points: Sequence[LowPoint],
    point: OperatingPoint,
    position: int,
) -> BleedJudgement:
    bleed = line.points[position]
    at_pump = serves_pump(line, point, position)
    numbers = (i for i, high_point in enumerate(high_points) if _sits_at(bleed, high_point))
    number = next(numbers, None)
    place: BleedPlace = "slope"
    if number is not None:
        place = "high point"
    elif at_pump:
        place = "pump outlet"
    elif any(_sits_at(bleed, low_point) for low_point in low_points):
        place = "low point"
    level = line.flat_around(position, LEAST_SWING)
    vents = at_pump or (number is not None and high_points[number].bleed is not None)
    return BleedJudgement(
        part=bleed.part,
        distance=bleed.distance,
        height=bleed.height,
        side="suction" if position < line.pump else "pressure",
        place=place,
        high_point=number
        if vents or number is not None
        else _better_place(high_points, bleed.distance, place == "low point"),
        serves_pump=at_pump,
        lets_out_air=vents,
        drains=vents and not at_pump and not line.bleed_lasts(level),
        gauge_pressure=gauge_pressure(point, line, position),
        draws_air=draws_air(point, line, position),
    )


def _sits_at(point: Point, swing: HighPoint | LowPoint) -> bool:
    return is_on_flat(point, swing.height, (swing.start, swing.end))


def _better_place(
    high_points: Sequence[HighPoint], distance: float, at_low_point: bool
) -> int | None:
    """The high point uphill of a bleed that would be useful there; at a low point, the one before.

    If that one has a bleed, drains or does not exist, the next high point downstream.
    """
    distances = [high_point.distance for high_point in high_points]
    upstream = [i for i, at in enumerate(distances) if at <= distance][-1:]
    uphill = [i for i in upstream if at_low_point or distance <= high_points[i].leg[1]]
    downstream = [i for i, at in enumerate(distances) if at > distance]
    free = (i for i in uphill + downstream if high_points[i].bleed is None and high_points[i].lasts)
    return next(free, None)


def serves_pump(line: Profile, point: OperatingPoint, position: int) -> bool:
    """Whether a bleed is at the pump's outlet: near it, with no fall between to hold air.

    It must also be before any manifold, since every path shares the pump.
    """
    bleed, network = line.points[position], point.network
    return (
        position > line.pump
        and network.line_of[bleed.part] == network.pump_line
        and bleed.distance - line.pump_at <= _AT_OUTLET
        and line.fall_between(line.pump, position) < LEAST_SWING
    )


def outlet_bleed(
    line: Profile, high_points: Sequence[HighPoint], point: OperatingPoint
) -> ProposedBleed | None:
    """A bleed just after the pump, or None if there is one or the pump is self-priming."""
    primes = point.network.pump.curve.self_priming
    if primes or any(serves_pump(line, point, position) for position in line.bleeds):
        return None
    pump = line.points[line.pump]
    numbers = (i for i, high_point in enumerate(high_points) if _sits_at(pump, high_point))
    return ProposedBleed(
        reason="pump outlet",
        distance=pump.distance,
        height=pump.height,
        part=pump.part,
        along=0.0,
        on_part=False,
        high_point=next(numbers, None),
        draws_air=draws_air(point, line, line.pump),
    )


def high_point_bleed(high_points: Sequence[HighPoint], number: int) -> ProposedBleed:
    """A bleed at a high point."""
    high_point = high_points[number]
    return ProposedBleed(
        reason="high point",
        distance=high_point.distance,
        height=high_point.height,
        part=high_point.part,
        along=high_point.along,
        on_part=high_point.on_part,
        high_point=number,
        draws_air=high_point.negative_pressure,
    )
