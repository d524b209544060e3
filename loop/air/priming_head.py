"""Priming an empty line: the head that drives the air out, and the fewest high points to vent."""

import heapq
from collections.abc import Sequence
from itertools import accumulate, pairwise

from loop.air.high_points import HighPoint, Top
from loop.hydraulics import Network
from loop.hydraulics.line_profile import Profile, is_on_flat, turns
from loop.parts import Pump
from loop.parts.friction import ROUNDING
from loop.records import dataclass


def start_head(heights: Sequence[float], drops: Sequence[float]) -> float:
    """Head [m] that drives water into an empty line and over all its rises.

    Parameters
    ----------
    heights : sequence of float, length n above 0
        Height at the top of each rise, in flow order [m above the waterline].
    drops : sequence of float, length n
        Drop behind each of these tops [m]; 0 where a bleed has let the air out for good.

    Returns
    -------
    float
        The maximum over all rises of the height reached plus the drops behind all earlier tops.

    Notes
    -----
    Water runs down the far side of a high point without filling it. The trapped air takes a head
    close to its own height: May, Allen & Nelson, Int. J. Hydraul. Eng. 7(3), 2018, 51, in 25 and 38
    mm pipes.

    Examples
    --------
    >>> print(round(start_head([0.6, 0.5], [0.4, 0.0]), 3))
    0.9
    """
    before = [0.0, *accumulate(drops)][: len(heights)]
    return max(height + lost for height, lost in zip(heights, before, strict=True))


def weakest_shutoff(network: Network, shutoff_head: float) -> float:
    """Shut-off head [m] at the lowest supply that the job states for a DC pump, if any.

    `shutoff_head` is the head at the supply that the pump has in the job; head scales with the
    square of voltage (affinity laws, speed proportional to voltage).
    """
    return shutoff_head * weakest_speed(network) ** 2


def weakest_speed(network: Network) -> float:
    """Speed of a DC pump at its lowest stated supply over its speed in the job; at most 1."""
    return weakest_share(network.pump, network.job.sizing.lowest_supply)


def weakest_share(pump: Pump, lowest: float | None) -> float:
    """Speed of a pump at its lowest stated supply [V] over its present speed; at most 1."""
    if lowest is None or pump.curve.drive != "dc":
        return 1.0
    return min(lowest / (pump.supply or pump.curve.rated_supply), 1.0)


def fewest_vents(heights: Sequence[float], drops: Sequence[float], limit: float) -> tuple[int, ...]:
    """The smallest set of tops to vent so that the line primes on a head of `limit` [m].

    Parameters as in `start_head`. Among the smallest sets it is one with the least sum of remaining
    drops. If one rise cannot be reached at all within the limit, every top before it is vented.

    Notes
    -----
    A pocket counts at every later rise, so the head that pockets may take before one rise is also
    bounded by all later rises. These bounds increase along the line like due dates, the drops are
    the processing times of jobs done in order, and the vented tops are the late jobs: Moore,
    Management Science 15 (1968) 102, whose rule finds the exact minimum. Whenever the pockets take
    too much, the largest of them is vented.
    """
    allowance = [limit - height for height in heights]
    bounds = list(accumulate(reversed(allowance), min))[::-1]
    kept: list[tuple[float, int]] = []
    total, vented = 0.0, []
    for top, (drop, bound) in enumerate(zip(drops, bounds[1:], strict=False)):
        if drop > 0:
            heapq.heappush(kept, (-drop, top))
            total += drop
        while kept and total > bound + ROUNDING:
            largest, index = heapq.heappop(kept)
            total += largest
            vented.append(index)
    return tuple(sorted(vented))


@dataclass(frozen=True)
class Rises:
    """Input of `start_head` for a path, from the pump on.

    ``high_points`` gives, for each top, its index among the path's high points, or None for the
    pump itself, for the end, and where air that a bleed lets out is back at the next start.
    ``drops`` are those of the line as it stands: 0 where a bleed has let the air out for good.
    """

    heights: tuple[float, ...]
    drops: tuple[float, ...]
    high_points: tuple[int | None, ...]

    def without(self, vented: frozenset[int]) -> "Rises":
        """The same rises with these high points vented."""
        drops = tuple(
            0.0 if high_point in vented else drop
            for drop, high_point in zip(self.drops, self.high_points, strict=True)
        )
        return Rises(self.heights, drops, self.high_points)

    @property
    def head(self) -> float:
        """Priming head [m]."""
        return start_head(self.heights, self.drops)

    def fewest(self, limit: float) -> frozenset[int]:
        """The fewest high points to vent to prime on `limit` [m]; those no bleed can vent stay."""
        permanent = [
            drop if high_point is None else 0.0
            for high_point, drop in zip(self.high_points, self.drops, strict=True)
        ]
        fixed_before = [0.0, *accumulate(permanent)]
        heights = [
            height + before for height, before in zip(self.heights, fixed_before, strict=False)
        ]
        ventable = [drop - fixed for drop, fixed in zip(self.drops, permanent, strict=True)]
        tops = (self.high_points[top] for top in fewest_vents(heights, ventable, limit))
        return frozenset(high_point for high_point in tops if high_point is not None)

    def capped(self, cap: float) -> "Rises":
        """The rises of the line lowered to `cap` [m] wherever it is higher.

        The first top, the pump or the header, stays where it is.
        """
        tops = list(zip(self.heights, self.drops, strict=True))[1:]
        heights = (min(height, cap) for height, _ in tops)
        drops = (max(drop - max(height - cap, 0.0), 0.0) for height, drop in tops)
        return Rises((self.heights[0], *heights), (self.drops[0], *drops), self.high_points)

    def highest(self, limit: float) -> float | None:
        """Height [m] that no point may exceed to prime on `limit` [m]; None if none is low enough.

        At least the waterline: a line below it has its outlet there.
        """
        low, high = 0.0, max(self.heights)
        if self.capped(low).head > limit + ROUNDING:
            return None
        for _ in range(60):
            mid = (low + high) / 2
            fits = self.capped(mid).head <= limit + ROUNDING
            low, high = (mid, high) if fits else (low, mid)
        return low

    @property
    def vented(self) -> "Rises":
        """The same rises with a bleed wherever it would let the air out for good."""
        return self.without(self.ventable)

    @property
    def ventable(self) -> frozenset[int]:
        """High points that a bleed would vent for good and that have none."""
        tops = zip(self.high_points, self.drops, strict=True)
        return frozenset(
            high_point for high_point, drop in tops if high_point is not None and drop > 0
        )


def rises(line: Profile, high_points: Sequence[HighPoint | Top]) -> Rises:
    """The rises of a path on the pump's pressure side.

    The first is the pump's own height. Where the pump sits on the falling leg of a suction high
    point, that leg also holds air against priming, from its top; this includes a high point so
    little above the pump that it counts as at the pump. The last is the end of the path, or the sea
    surface over an outlet under water.
    """
    pump = line.points[line.pump]
    suction_drops = [
        high_point.height - high_point.after
        for high_point in high_points
        if high_point.side == "suction"
        and high_point.leg[1] > line.pump_at
        and not high_point.vented
    ]
    tops: list[tuple[float, float, int | None]] = [(pump.height, sum(suction_drops), None)]
    tops += [
        (
            high_point.height,
            0.0 if high_point.vented else high_point.drop,
            number if high_point.lasts else None,
        )
        for number, high_point in enumerate(high_points)
        if high_point.side == "pressure"
    ]
    tops.append((line.heights_to_sea[-1], 0.0, None))
    heights, drops, numbers = zip(*tops, strict=True)
    return Rises(heights, drops, numbers)


def rises_between(
    line: Profile, high_points: Sequence[HighPoint], span: tuple[int, int], end: float
) -> Rises:
    """The rises of a stretch of a path, from the first to the last of two positions.

    The line is full before it. At its end, water stands at `end` [m above the waterline]: the sea,
    or a running header. Where that is above the end of the line, air leaves only against it.
    """
    points = line.points[span[0] : span[1] + 1]
    levels = [point.height for point in points]
    levels += [end] if end > levels[-1] else []
    swings = turns(levels)
    tops: list[tuple[float, float, int | None]] = [(levels[0], 0.0, None)]
    for turn, low in pairwise(swings):
        if turn.high:
            place, height = points[turn.position], levels[turn.position]
            matches = (
                number
                for number, high_point in enumerate(high_points)
                if is_on_flat(place, high_point.height, (high_point.start, high_point.end))
            )
            number = next(matches, None)
            top = None if number is None else high_points[number]
            drop = 0.0 if top is not None and top.vented else height - levels[low.position]
            tops.append((height, drop, number if top is not None and top.lasts else None))
    tops.append((levels[-1], 0.0, None))
    heights, drops, numbers = zip(*tops, strict=True)
    return Rises(heights, drops, numbers)
