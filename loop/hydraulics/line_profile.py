"""Path of the water from sea to sea, as distances and heights, with its high and low points."""

from collections.abc import Sequence
from functools import cached_property, lru_cache

import numpy as np

from loop.curve import Array
from loop.hydraulics.layout import Layout, layout_of
from loop.hydraulics.network import Network
from loop.hydraulics.stays_full import lift_by_attitude, stays_full_to
from loop.parts import Bleed, Discharge, Hose, Pump
from loop.parts.friction import ROUNDING
from loop.records import dataclass

# Smallest swing [m] of a high or low point; a smaller one holds bubbles, not an air pocket:
# engineering estimate.
LEAST_SWING = 0.025
# Heights within this [m] count as level, for the extent of the flat at a high or low point.
_LEVEL = 0.001


@dataclass(frozen=True)
class Point:
    """A point on the path: distance from the intake and height above the waterline [m].

    ``part`` is the index, in the network, of the part that ends or turns here; ``along`` the length
    from that part's start [m].
    """

    distance: float
    height: float
    part: int
    along: float = 0.0


@dataclass(frozen=True)
class Profile:
    """One path from the intake to the sea, in flow order.

    The line is straight between points. ``pump`` and ``bleeds`` are positions in ``points``;
    ``full_to`` is the height [m] above the waterline up to which the line stays full with the pump
    stopped (`stays_full_to`); ``lifts`` [m] is how far heel, trim and load may lift each point out
    of the water, empty for not at all.
    """

    points: tuple[Point, ...]
    pump: int
    bleeds: tuple[int, ...]
    full_to: float = 0.0
    lifts: tuple[float, ...] = ()

    @property
    def length(self) -> float:
        """Length of the path [m]."""
        return self.points[-1].distance

    @property
    def pump_at(self) -> float:
        """Distance of the pump from the intake [m]."""
        return self.points[self.pump].distance

    @property
    def bleeds_at(self) -> tuple[Point, ...]:
        """Points of the bleed valves."""
        return tuple(self.points[position] for position in self.bleeds)

    @cached_property
    def heights(self) -> Array:
        """Height of each point [m], for drawing."""
        return np.array([point.height for point in self.points])

    @cached_property
    def heights_to_sea(self) -> tuple[float, ...]:
        """Heights of the points, and for an outlet under water the sea surface after them.

        Air leaves such an outlet only against the water above it, as over one more rise.
        """
        heights = tuple(point.height for point in self.points)
        return (*heights, 0.0) if heights[-1] < 0 else heights

    def bleed_lasts(self, top: "Flat") -> bool:
        """Whether the air that a bleed lets out of a high point stays out when the pump stops.

        It must stay out along the whole top, also with the boat heeled, trimmed and light.
        Otherwise it is back at the next start, when nobody is there to open the bleed.
        """
        lifts = self.lifts or (0.0,) * len(self.points)
        return all(
            self.points[at].height + lifts[at] < self.full_to
            for at in range(top.first, top.last + 1)
        )

    def inside_part(self, position: int) -> bool:
        """Whether a point lies on a part before its end; a fitting added there sits on the part."""
        after = self.points[position + 1 : position + 2]
        return bool(after) and after[0].part == self.points[position].part

    def fall_between(self, start: int, end: int) -> float:
        """Largest fall [m] from any point to a later one, between two positions."""
        highest, fall = -np.inf, 0.0
        for point in self.points[start : end + 1]:
            highest = max(highest, point.height)
            fall = max(fall, highest - point.height)
        return float(fall)

    def flat_around(self, position: int, reach: float) -> "Flat":
        """The stretch around a high or low point that stays within `reach` [m] of its height."""
        flat = [position, position]
        edges = []
        for side, step in enumerate((-1, 1)):
            while self._is_within(flat[side] + step, position, reach):
                flat[side] += step
            edges.append(self._edge(flat[side], flat[side] + step, position, reach))
        level = [
            i
            for i in range(flat[0], flat[1] + 1)
            if self._height_difference(i, position) <= _LEVEL + ROUNDING
        ]
        return Flat(level[0], level[-1], edges[0], edges[1])

    def _height_difference(self, at: int, position: int) -> float:
        return abs(self.points[at].height - self.points[position].height)

    def _is_within(self, at: int, position: int, reach: float) -> bool:
        return (
            0 <= at < len(self.points) and self._height_difference(at, position) < reach - ROUNDING
        )

    def _edge(self, inner: int, outer: int, position: int, reach: float) -> float:
        """Distance at which the line leaves the reach, from a point within it to one beyond."""
        here = self.points[inner].distance
        if not 0 <= outer < len(self.points):
            return here
        near, far = (
            self._height_difference(inner, position),
            self._height_difference(outer, position),
        )
        share = min((reach - near) / (far - near), 1.0)
        return here + share * (self.points[outer].distance - here)


@dataclass(frozen=True)
class Flat:
    """Level run at a high or low point: its first and last position, and its edges [m]."""

    first: int
    last: int
    start: float
    end: float


@dataclass(frozen=True)
class Turn:
    """A turning point of the line: its position, and whether it is a high or a low point."""

    position: int
    high: bool


def profiles(network: Network) -> tuple[tuple[str, Profile], ...]:
    """Every path from sea to sea with its branch names, in the order of `Network.paths`."""
    return _profiles(layout_of(network))


# Cached: options of a sizing and trials of a check mostly differ in sizes alone.
@lru_cache(maxsize=16)
def _profiles(layout: Layout) -> tuple[tuple[str, Profile], ...]:
    network = layout.network
    full_to = stays_full_to(network)
    return tuple((branch, _profile(network, parts, full_to)) for branch, parts in network.paths())


def profile(network: Network, part_indices: Sequence[int]) -> Profile:
    """The path through these parts, as listed by `Network.paths`.

    Hoses add their lengths and heights; every other part is a point at its height.
    """
    return _profile(network, part_indices, stays_full_to(network))


def _profile(network: Network, part_indices: Sequence[int], full_to: float) -> Profile:
    points: list[Point] = []
    distance = 0.0
    for index in part_indices:
        part = network.parts[index]
        if isinstance(part, Hose):
            points += [Point(distance + at, to, index, at) for at, to in part.points]
            distance += part.length
        else:
            points.append(Point(distance, _height(network, index, points), index))
    kinds = [network.parts[point.part] for point in points]
    return Profile(
        points=tuple(points),
        pump=next(i for i, part in enumerate(kinds) if isinstance(part, Pump)),
        bleeds=tuple(i for i, part in enumerate(kinds) if isinstance(part, Bleed)),
        full_to=full_to,
        lifts=lift_by_attitude(network, [(point.part, point.distance) for point in points]),
    )


def _height(network: Network, index: int, before: Sequence[Point]) -> float:
    """Height of a part without length: that of the line, except at the path's ends.

    Heights at which branches join may differ by tape-measure error.
    """
    own = not before or isinstance(network.parts[index], Discharge)
    return network.heights[index] if own else before[-1].height


def is_on_flat(place: Point, height: float, span: tuple[float, float]) -> bool:
    """Whether a point is on the flat of a high or low point of this height and extent."""
    near = span[0] <= place.distance <= span[1]
    return near and abs(height - place.height) < LEAST_SWING


def turns(heights: Sequence[float], least: float = LEAST_SWING) -> tuple[Turn, ...]:
    """High and low points of a line, in order, each differing by at least `least` from the next.

    Parameters
    ----------
    heights : sequence of float
        Heights along the line [m].
    least : float
        Smallest swing that counts [m], above 0.

    Returns
    -------
    tuple of Turn
        Alternating high and low; the first and last are the line's ends (or lie within `least` of
        them), the rest its high and low points. Empty if no swing counts. Of equal heights the
        first is taken; apart from that, reversing the line reverses the result.

    Examples
    --------
    >>> [(t.position, t.high) for t in turns([0.0, 0.5, 0.49, 0.51, 0.2, 0.4])]
    [(0, False), (3, True), (4, False), (5, True)]
    """
    swing = least - ROUNDING
    found: list[Turn] = []
    high = low = 0
    for position, height in enumerate(heights):
        high = position if height > heights[high] else high
        low = position if height < heights[low] else low
        rising = found and not found[-1].high
        falling = found and found[-1].high
        if not rising and height - heights[low] >= swing:
            found.append(Turn(low, high=False))
            high = low = position
        elif not falling and heights[high] - height >= swing:
            found.append(Turn(high, high=True))
            high = low = position
    if found:
        found.append(Turn(low, high=False) if found[-1].high else Turn(high, high=True))
    return tuple(found)
