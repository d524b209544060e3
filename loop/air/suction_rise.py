"""The suction line, which must rise to the pump: its humps, and heights that remove them."""

from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

from loop.air.high_points import HighPoint
from loop.hydraulics.line_profile import LEAST_SWING, Profile
from loop.parts import Hose, Part
from loop.records import dataclass

# Heights that differ by less than this [m] are equal.
_TOLERANCE = 1e-6


@dataclass(frozen=True)
class SuctionHump:
    """A high point between intake and pump.

    ``high_point`` is its index among the path's high points; ``above_water``: a pump that is not
    self-priming stops priming at it.
    """

    high_point: int
    distance: float
    height: float
    above_water: bool


@dataclass(frozen=True)
class Move:
    """A point of a hose to be moved to another height [m above the waterline].

    ``part`` and ``along`` [m] give the location: that far along the hose if ``on_part``, otherwise
    its end.
    """

    part: int
    along: float
    on_part: bool
    distance: float
    height: float
    to: float


@dataclass(frozen=True)
class SuctionSide:
    """The line from the intake to the pump.

    ``moves`` are the height changes that remove every hump, if there are any; ``rises``: no point
    of the changed line lies below a point before it.
    """

    self_priming: bool
    humps: tuple[SuctionHump, ...]
    moves: tuple[Move, ...]
    rises: bool

    @property
    def stops_pump(self) -> bool:
        """Whether a hump above the waterline stops this pump."""
        return not self.self_priming and any(hump.above_water for hump in self.humps)


def suction_side(
    self_priming: bool, parts: Sequence[Part], line: Profile, high_points: Sequence[HighPoint]
) -> SuctionSide:
    """The humps before the pump, and the height changes that remove all of them.

    Parameters
    ----------
    parts : sequence of Part
        The network's parts, to which the points of `line` refer.

    Notes
    -----
    Intake and pump stay. Where a hump is above the start of the line (or above the pump, if that is
    lower) and a low point behind it is below, both move to that height; otherwise points only move
    down, each to the lowest point after it.
    """
    humps = tuple(
        SuctionHump(number, high_point.distance, high_point.height, high_point.height > 0)
        for number, high_point in enumerate(high_points)
        if high_point.side == "suction"
    )
    if not humps:
        return SuctionSide(self_priming, (), (), True)
    heights = [point.height for point in line.points[: line.pump + 1]]
    hump_points = [(hump.distance, hump.height) for hump in humps]
    levels = _without_humps(line, heights, hump_points)
    moves = tuple(_moves(parts, line, heights, levels))
    changed = [heights[0], *levels[1:]]
    rises = all(b >= a - _TOLERANCE for a, b in pairwise(changed))
    return SuctionSide(self_priming, humps, moves, rises)


def _without_humps(
    line: Profile, heights: Sequence[float], humps: Sequence[tuple[float, float]]
) -> list[float]:
    """Heights of the points up to the pump that leave no hump."""
    lowest_after = list(accumulate(reversed(heights), min))[::-1]
    floor = min(heights[0], heights[-1])
    for distance, height in humps:
        index = next(i for i, p in enumerate(line.points) if p.distance >= distance - _TOLERANCE)
        if lowest_after[index] < floor < height - LEAST_SWING:
            return [max(level, floor) for level in lowest_after]
    # Falling from the intake to the present lowest point, and rising from there on.
    lowest = heights.index(min(heights))
    return [*accumulate(heights[:lowest], min), *lowest_after[lowest:]]


def _moves(
    parts: Sequence[Part], line: Profile, heights: Sequence[float], levels: Sequence[float]
) -> Iterator[Move]:
    """Hose points that must move; a part without length moves with the hose before it."""
    for i in range(1, line.pump):
        point = line.points[i]
        if isinstance(parts[point.part], Hose) and abs(levels[i] - heights[i]) > _TOLERANCE:
            on_part = line.inside_part(i)
            yield Move(point.part, point.along, on_part, point.distance, point.height, levels[i])
