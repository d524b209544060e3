"""Air in the loop: where it is trapped, whether it leaves, and whether the loop can start.

One answer for each way from the sea to the sea. A series loop has one way; with branches, the one
that needs the most head starves first while starting.
"""

from collections.abc import Sequence

from loop.air.bleeds import (
    BleedJudgement,
    ProposedBleed,
    high_point_bleed,
    judge_bleeds,
    outlet_bleed,
)
from loop.air.branch_priming import Filling, fillings
from loop.air.head_left import Starting
from loop.air.high_points import HighPoint, LowPoint, find_high_points, find_low_points
from loop.air.priming_head import Rises, rises, weakest_shutoff
from loop.air.suction_rise import SuctionSide, suction_side
from loop.hydraulics import Network, OperatingPoint
from loop.hydraulics.line_profile import Profile, profile
from loop.parts.friction import ROUNDING
from loop.records import dataclass

# Share of the shut-off head that a start should leave to spare: common practice.
START_SPARE = 0.10


@dataclass(frozen=True)
class AirPath:
    """Air on one way from the sea to the sea.

    Heads [m]: ``start_head`` is needed to drive the air out as the way stands,
    ``start_head_proposed`` with the proposed bleeds, ``start_head_vented`` with one at every
    high point that stays free of air when the pump stops; ``shutoff_head`` is the most that the
    pump has on its lowest supply. ``proposed`` holds the smallest set of high points to vent that
    leaves 10 % of it to spare (or the most that bleeds can), and the bleed at the pump's outlet
    where there is none; on a way that shares high points with others, also what those need. None is
    proposed for a start that no bleeds make possible. ``filling`` is how the way fills while those
    that start on less head run already, None where that takes nothing away that it needs.
    """

    branch: str
    profile: Profile
    high_points: tuple[HighPoint, ...]
    low_points: tuple[LowPoint, ...]
    start_head: float
    start_head_proposed: float
    start_head_vented: float
    shutoff_head: float
    bleeds: tuple[BleedJudgement, ...]
    proposed: tuple[ProposedBleed, ...]
    suction: SuctionSide
    filling: Filling | None

    @property
    def pockets(self) -> tuple[tuple[float, float], ...]:
        """Stretches (from, to) [m] in which the running water may leave air."""
        return tuple(pocket for high_point in self.high_points for pocket in high_point.pockets)

    @property
    def starts(self) -> bool:
        """Whether the pump drives the air out as the way stands."""
        return self.start_head <= self.shutoff_head + ROUNDING

    @property
    def starts_with_spare(self) -> bool:
        """Whether it does with 10 % of its shut-off head to spare."""
        return self.start_head <= (1 - START_SPARE) * self.shutoff_head + ROUNDING

    @property
    def starves(self) -> bool:
        """Whether the pump starts this way alone, but not while those on less head run already."""
        return self.starts and self.filling is not None and not self.filling.fills

    @property
    def bleeds_suffice(self) -> bool:
        """Whether it would with a bleed wherever one lets the air out for good."""
        return self.start_head_vented <= self.shutoff_head + ROUNDING


@dataclass(frozen=True)
class _Way(Starting):
    """What is known of a way before bleeds are proposed for it."""

    low_points: tuple[LowPoint, ...]
    rises: Rises
    outlet: ProposedBleed | None

    def proposals(self, chosen: frozenset[int]) -> tuple[ProposedBleed, ...]:
        first = () if self.outlet is None else (self.outlet,)
        return (*first, *(high_point_bleed(self.high_points, number) for number in sorted(chosen)))

    @property
    def with_outlet(self) -> Rises:
        """The rises once a missing bleed at the pump's outlet is there."""
        high_point = None if self.outlet is None else self.outlet.high_point
        return self.rises if high_point is None else self.rises.without(frozenset({high_point}))


def air_paths(network: Network, point: OperatingPoint) -> tuple[AirPath, ...]:
    """Air on every way from the sea to the sea, at an operating point.

    Flows are those of the point. Where ways share a high point one bleed serves them all,
    and is listed on each: of all the ways' bleeds together none could be left out.
    """
    ways = [_way(network, point, branch, parts) for branch, parts in network.paths()]
    shutoff_head = weakest_shutoff(network, point.shutoff_head)
    chosen = _choose(ways, shutoff_head)
    filling = fillings(network, ways, point.line_flow)
    return tuple(
        AirPath(
            branch=way.branch,
            profile=way.line,
            high_points=way.high_points,
            low_points=way.low_points,
            start_head=way.rises.head,
            start_head_proposed=way.with_outlet.without(vents).head,
            start_head_vented=way.rises.without(way.rises.ventable).head,
            shutoff_head=shutoff_head,
            bleeds=judge_bleeds(way.line, way.high_points, way.low_points, point),
            proposed=way.proposals(vents),
            suction=suction_side(
                network.pump.curve.self_priming, network.parts, way.line, way.high_points
            ),
            filling=fills,
        )
        for way, vents, fills in zip(ways, chosen, filling, strict=True)
    )


def _way(network: Network, point: OperatingPoint, branch: str, parts: Sequence[int]) -> _Way:
    line = profile(network, parts)
    high_points = find_high_points(line, point)
    rising = rises(line, high_points)
    return _Way(
        branch=branch,
        parts=tuple(parts),
        line=line,
        high_points=high_points,
        head=rising.head,
        low_points=find_low_points(line),
        rises=rising,
        outlet=outlet_bleed(line, high_points, point),
    )


def _choose(ways: Sequence[_Way], shutoff_head: float) -> list[frozenset[int]]:
    """High points to vent on each way.

    Each way is settled alone, with the fewest that it needs. Then, those that the fewest ways
    share first, each bleed is left out that the others make needless on every way it is on.
    """
    rises = [way.with_outlet for way in ways]
    limits = [_limit(each, shutoff_head) for each in rises]
    numbers: dict[tuple[int, float], dict[int, int]] = {}
    wanted: set[tuple[int, float]] = set()
    for i, (way, each, limit) in enumerate(zip(ways, rises, limits, strict=True)):
        for number in sorted(each.ventable):
            numbers.setdefault(high_point_bleed(way.high_points, number).key, {})[i] = number
        if limit is not None:
            wanted |= {
                high_point_bleed(way.high_points, number).key for number in each.fewest(limit)
            }
    chosen: list[set[int]] = [set() for _ in ways]
    places = sorted((key for key in numbers if key in wanted), key=lambda key: len(numbers[key]))
    for key in places:
        for i, number in numbers[key].items():
            chosen[i].add(number)
    for key in places:
        left = {i: frozenset(chosen[i] - {number}) for i, number in numbers[key].items()}
        if all(_starts(rises[i].without(vents), limits[i]) for i, vents in left.items()):
            for i, number in numbers[key].items():
                chosen[i].discard(number)
    return [frozenset(vents) for vents in chosen]


def _limit(way: Rises, shutoff_head: float) -> float | None:
    """Head [m] to start on: a tenth of the shut-off head to spare, or the best that bleeds give.

    None where not even a bleed at every high point that stays free of air makes a start possible.
    """
    best = way.without(way.ventable).head
    return None if best > shutoff_head + ROUNDING else max((1 - START_SPARE) * shutoff_head, best)


def _starts(way: Rises, limit: float | None) -> bool:
    return limit is None or way.head <= limit + ROUNDING
