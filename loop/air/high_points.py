"""High and low points of a line, and whether the flow sweeps out the air behind them."""

import math
from collections.abc import Iterator
from typing import Literal

from loop.hydraulics import OperatingPoint
from loop.hydraulics.clearing import TESTED_SLOPE, clearing_velocity
from loop.hydraulics.find_legs import bleed_reach, falls_to_pump
from loop.hydraulics.gauge_pressure import draws_air, gauge_pressure
from loop.hydraulics.leg_report import leg_below
from loop.hydraulics.line_profile import Profile, Turn, is_on_flat, turns
from loop.parts.friction import GRAVITY, velocity
from loop.records import dataclass

Side = Literal["suction", "pressure"]
Running = Literal["swept", "may stay", "held"]
_WORST: tuple[Running, ...] = ("held", "may stay", "swept")


@dataclass(frozen=True)
class Top:
    """A high point between two lower ones, by the shape of the line alone, whatever the flow.

    Distances are from the intake and heights above the waterline [m]. A bleed from ``start`` to
    ``end`` of its level top counts as sitting at it. ``before`` and ``after`` are the lowest
    heights on either side. ``leg`` is the falling leg from the top to the low point behind it,
    ``open_end`` whether it ends in open air. ``first``, ``last`` and ``low`` are positions among
    the line's points: the ends of the level top, and the low point behind it. ``bleed`` is the part
    index of a bleed valve that vents the high point, or None; ``lasts``: air that a bleed there
    lets out stays out when the pump stops.
    """

    height: float
    before: float
    after: float
    start: float
    end: float
    leg: tuple[float, float]
    first: int
    last: int
    low: int
    open_end: bool
    side: Side
    bleed: int | None
    lasts: bool

    @property
    def vented(self) -> bool:
        """Whether its bleed keeps it free of air at every start, with nobody there."""
        return self.bleed is not None and self.lasts

    @property
    def drop(self) -> float:
        """Height from it to the low point behind it [m]: the head that its air pocket takes."""
        return self.height - self.after


@dataclass(frozen=True)
class HighPoint(Top):
    """A high point and its falling leg, evaluated at an operating point.

    ``distance`` is the far end of its level top. ``part`` and ``along`` give the location: that far
    along a hose if ``on_part``, otherwise just after the part.

    ``bore`` [m], ``slope`` [rad], ``velocity`` [m/s] and ``clearing`` [m/s] are those of the
    stretch of the leg that is hardest to sweep; ``extrapolated`` where it is steeper than the
    slopes on which the relations were measured. ``running`` is what happens to air there while
    water flows. ``gauge_pressure`` [Pa] is that at the high point with water flowing;
    ``negative_pressure``: a valve opened there would draw air in. ``pockets`` are the stretches
    (from, to) [m] in which air is not certain to be swept out.
    """

    distance: float
    part: int
    along: float
    on_part: bool
    bore: float
    slope: float
    velocity: float
    clearing: tuple[float, float]
    extrapolated: bool
    running: Running
    gauge_pressure: float
    negative_pressure: bool
    pockets: tuple[tuple[float, float], ...]

    @property
    def froude(self) -> float:
        """V/√(gD) in the stretch that is hardest to sweep."""
        return self.velocity / math.sqrt(GRAVITY * self.bore)

    @property
    def state(self) -> Literal["swept", "may stay", "held", "vented"]:
        """``vented`` if a bleed has let the air out for good, otherwise what the flow does.

        Air that arrives later behaves as ``running`` says.
        """
        return "vented" if self.vented else self.running


@dataclass(frozen=True)
class LowPoint:
    """A low point between two higher ones; a bleed from ``start`` to ``end`` [m] is in it."""

    distance: float
    height: float
    start: float
    end: float
    part: int


def line_turns(line: Profile) -> tuple[Turn, ...]:
    """The path's high and low points; one past the last point is the sea surface."""
    return turns(line.heights_to_sea)


def find_tops(line: Profile) -> tuple[Top, ...]:
    """The high points of a path, from sea to sea."""
    all_turns = line_turns(line)
    return tuple(
        _top(line, all_turns, number)
        for number in range(1, len(all_turns) - 1)
        if all_turns[number].high
    )


def find_high_points(line: Profile, point: OperatingPoint) -> tuple[HighPoint, ...]:
    """The high points of a path, from sea to sea, evaluated at an operating point."""
    return tuple(_evaluated(line, point, top) for top in find_tops(line))


def find_low_points(line: Profile) -> tuple[LowPoint, ...]:
    """The low points of a path, from sea to sea; a through-hull under water is not one."""
    all_turns = line_turns(line)
    low_points = []
    for before, turn, after in zip(all_turns, all_turns[1:], all_turns[2:], strict=False):
        if turn.high or line.points[turn.position].distance >= line.length:
            continue
        point = line.points[turn.position]
        depth = (
            min(line.heights_to_sea[before.position], line.heights_to_sea[after.position])
            - point.height
        )
        flat = line.flat_around(turn.position, bleed_reach(depth))
        low_points.append(LowPoint(point.distance, point.height, flat.start, flat.end, point.part))
    return tuple(low_points)


def _top(line: Profile, all_turns: tuple[Turn, ...], number: int) -> Top:
    top, low = all_turns[number].position, all_turns[number + 1].position
    height, after = line.heights_to_sea[top], line.heights_to_sea[low]
    before = line.heights_to_sea[all_turns[number - 1].position]
    flat = line.flat_around(top, bleed_reach(height - max(before, after)))
    # A high point at the pump itself is vented and falls on the pump's pressure side.
    suction = falls_to_pump(line, flat, top)
    first, last = (flat.first, flat.last)
    if not suction:
        first, last = max(first, line.pump), max(last, line.pump)
    return Top(
        height=height,
        before=before,
        after=after,
        start=flat.start,
        end=flat.end,
        leg=(line.points[first].distance, line.points[low].distance),
        first=first,
        last=last,
        low=low,
        open_end=number + 2 == len(all_turns),
        side="suction" if suction else "pressure",
        bleed=_bleed_at(line, height, (flat.start, flat.end), suction),
        lasts=line.bleed_lasts(flat),
    )


def _evaluated(line: Profile, point: OperatingPoint, top: Top) -> HighPoint:
    stretches = list(_stretches(line, point, top.first, top.low))
    hardest = min(
        stretches, key=lambda leg: (_WORST.index(leg.running), leg.speed / leg.clearing[1])
    )
    unswept = [leg for leg in stretches if leg.running != "swept"]
    place = line.points[top.last]
    leg = leg_below(point.legs, point.network.places[place.part], top.height)
    # Under negative pressure a bleed lets no air out of the leg.
    ineffective = top.bleed is not None and leg is not None and leg.state != "full"
    return HighPoint(
        **vars(top) | {"lasts": top.lasts and not ineffective},
        distance=place.distance,
        part=place.part,
        along=place.along,
        on_part=line.inside_part(top.last),
        bore=hardest.bore,
        slope=hardest.slope,
        velocity=hardest.speed,
        clearing=hardest.clearing,
        extrapolated=hardest.slope > TESTED_SLOPE,
        running=hardest.running,
        gauge_pressure=gauge_pressure(point, line, top.last),
        negative_pressure=draws_air(point, line, top.last),
        pockets=_merged([(leg.start, leg.end) for leg in unswept]),
    )


@dataclass(frozen=True)
class _Stretch:
    """A straight piece of a falling leg, or of the level top before it."""

    start: float
    end: float
    bore: float
    slope: float
    speed: float
    clearing: tuple[float, float]

    @property
    def running(self) -> Running:
        if self.speed > self.clearing[1]:
            return "swept"
        return "held" if self.speed < self.clearing[0] else "may stay"


def _stretches(line: Profile, point: OperatingPoint, first: int, low: int) -> Iterator[_Stretch]:
    for start, end in zip(line.points[first:low], line.points[first + 1 : low + 1], strict=True):
        length, fall = end.distance - start.distance, start.height - end.height
        if length <= 0:
            continue  # a part, or a step between parts from tape error
        part = end.part
        bore = point.network.parts[part].inner_bore
        slope = math.asin(min(max(fall / length, 0.0), 1.0))
        low_speed, high_speed = clearing_velocity(bore, slope)
        # Backward flow in a branch sweeps nothing down this leg.
        speed = velocity(max(point.flow_through(part), 0.0), bore)
        clearing = (float(low_speed), float(high_speed))
        yield _Stretch(start.distance, end.distance, bore, slope, speed, clearing)


def _merged(stretches: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    joined: list[tuple[float, float]] = []
    for start, end in stretches:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return tuple(joined)


def _bleed_at(line: Profile, height: float, span: tuple[float, float], suction: bool) -> int | None:
    """Part index of a bleed that vents a high point.

    On the suction side only the sea's own pressure drives air out, so a bleed above the waterline
    vents nothing there.
    """
    if suction and height >= 0:
        return None
    for place in line.bleeds_at:
        if is_on_flat(place, height, span):
            return place.part
    return None
