"""The way of the water from sea to sea, as lengths and heights, and its high and low points."""

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from loop.curve import Array
from loop.hydraulics.network import Network
from loop.hydraulics.stays_full import lifts, stays_full_to
from loop.parts import Bleed, Discharge, Hose, Pump
from loop.parts.friction import ROUNDING
from loop.records import dataclass

# A high or low point counts from this swing on [m]; a smaller one holds bubbles, not a pocket:
# engineering estimate.
LEAST_SWING = 0.025
# Heights [m] that are one level, for the extent of a high point's or low point's flat top or
# bottom.
_LEVEL = 0.001


@dataclass(frozen=True)
class Point:
    """A point on the way: distance from the intake and height above the waterline [m].

    ``part`` is the index, in the network, of the part that ends or turns here; ``along`` the length
    from that part's start [m].
    """

    distance: float
    height: float
    part: int
    along: float = 0.0


@dataclass(frozen=True)
class Profile:
    """One way from the intake to the sea, in the water's direction.

    Between points the line is straight. ``pump`` and ``bleeds`` are positions in ``points``;
    ``full_to`` is the height [m] over the water up to which it stays full with the pump stopped
    (`stays_full_to`), ``lifts`` how far each point may be lifted out of the water [m]; none, not at
    all.
    """

    points: tuple[Point, ...]
    pump: int
    bleeds: tuple[int, ...]
    full_to: float = 0.0
    lifts: tuple[float, ...] = ()

    @property
    def length(self) -> float:
        """Length of the way [m]."""
        return self.points[-1].distance

    @property
    def pump_at(self) -> float:
        """Distance of the pump from the intake [m]."""
        return self.points[self.pump].distance

    @property
    def bleeds_at(self) -> tuple[Point, ...]:
        """Where the bleed valves sit."""
        return tuple(self.points[position] for position in self.bleeds)

    @cached_property
    def heights(self) -> Array:
        """Height of each point [m], for drawing."""
        return np.array([point.height for point in self.points])

    @cached_property
    def levels(self) -> tuple[float, ...]:
        """Heights of the points, and after an outlet under water the sea's surface.

        Air leaves such an outlet only against the water over it, as over one more rise.
        """
        heights = tuple(point.height for point in self.points)
        return (*heights, 0.0) if heights[-1] < 0 else heights

    def lasts(self, top: "Flat") -> bool:
        """Whether the air that a bleed lets out of a high point stays out when the pump stops.

        All along its top, and heeled, trimmed and light as well. Else it is back at the next start,
        and the bleed counts for nobody who is not there.
        """
        lifts = self.lifts or (0.0,) * len(self.points)
        return all(
            self.points[at].height + lifts[at] < self.full_to
            for at in range(top.first, top.last + 1)
        )

    def inside_part(self, position: int) -> bool:
        """Whether a point lies on a part before its end, so that a fitting there goes on it."""
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
        """The stretch around a high or low point that stays less than `reach` [m] from it."""
        flat = [position, position]
        edges = []
        for side, step in enumerate((-1, 1)):
            while self._within(flat[side] + step, position, reach):
                flat[side] += step
            edges.append(self._edge(flat[side], flat[side] + step, position, reach))
        level = [
            i for i in range(flat[0], flat[1] + 1) if self._away(i, position) <= _LEVEL + ROUNDING
        ]
        return Flat(level[0], level[-1], edges[0], edges[1])

    def _away(self, at: int, position: int) -> float:
        return abs(self.points[at].height - self.points[position].height)

    def _within(self, at: int, position: int, reach: float) -> bool:
        return 0 <= at < len(self.points) and self._away(at, position) < reach - ROUNDING

    def _edge(self, inner: int, outer: int, position: int, reach: float) -> float:
        """Distance at which the line between a point within reach and one beyond leaves it."""
        here = self.points[inner].distance
        if not 0 <= outer < len(self.points):
            return here
        near, far = self._away(inner, position), self._away(outer, position)
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
    """A point at which the line turns: its position, and whether it is a high or a low one."""

    position: int
    high: bool


def profiles(network: Network) -> list[tuple[str, Profile]]:
    """Every way from the sea to the sea, with its branch names, as `Network.paths` lists them."""
    full_to = stays_full_to(network)
    return [(branch, _profile(network, parts, full_to)) for branch, parts in network.paths()]


def profile(network: Network, part_indices: Sequence[int]) -> Profile:
    """The way through these parts, as `Network.paths` lists them.

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
        lifts=lifts(network, [(point.part, point.distance) for point in points]),
    )


def _height(network: Network, index: int, before: Sequence[Point]) -> float:
    """Height of a part without length: where the line is, but for a through-hull's own height.

    Branches may join at heights that differ by what a tape measure cannot tell.
    """
    own = not before or isinstance(network.parts[index], Discharge)
    return network.heights[index] if own else before[-1].height


def sits_at(place: Point, height: float, span: tuple[float, float]) -> bool:
    """Whether a place is on the flat of a high point or low point of this height and span."""
    near = span[0] <= place.distance <= span[1]
    return near and abs(height - place.height) < LEAST_SWING


def turns(heights: Sequence[float], least: float = LEAST_SWING) -> tuple[Turn, ...]:
    """High and low points of a line, in order, each at least `least` from the next.

    Parameters
    ----------
    heights : sequence of float
        Heights along the line [m].
    least : float
        Smallest swing that counts [m], above 0.

    Returns
    -------
    tuple of Turn
        High and low by turns; the first and last are the line's ends (or lie within `least` of
        them), the rest its high points and low points. Empty where the line has no swing that
        counts. Of equal heights the first is taken; reversing the line reverses the answer but for
        that.

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
