"""Air in the loop: where it is trapped, whether it is swept out, and whether the loop primes.

One result for each path from sea to sea. A series loop has one path; with branches, the one that
needs the most head is the first to fail to prime.
"""

from collections.abc import Sequence

from loop.air.bleeds import (
    BleedJudgement,
    ProposedBleed,
    high_point_bleed,
    judge_bleeds,
    outlet_bleed,
)
from loop.air.branch_priming import BranchPriming, branch_primings
from loop.air.dry_path import PrimingPath
from loop.air.high_points import HighPoint, LowPoint, find_high_points, find_low_points
from loop.air.priming_head import Rises, rises, weakest_shutoff
from loop.air.suction_rise import SuctionSide, suction_side
from loop.hydraulics import Network, OperatingPoint
from loop.hydraulics.line_profile import Profile, profiles
from loop.parts.friction import ROUNDING
from loop.records import dataclass

# Share of the shut-off head to keep in reserve when priming: common practice.
START_SPARE = 0.10


@dataclass(frozen=True)
class AirPath:
    """Air on one path from sea to sea.

    Heads [m]: ``start_head`` is needed to drive the air out of the path as it stands,
    ``start_head_proposed`` with the proposed bleeds, ``start_head_vented`` with a bleed at every
    high point that stays free of air when the pump stops; ``shutoff_head`` is the pump's at its
    lowest supply. ``proposed`` is the smallest set of high points to vent that keeps 10 % of the
    shut-off head in reserve (or as much as bleeds can), plus the bleed at the pump's outlet if
    there is none; on a path that shares high points with others, also those that the others need.
    No high points are proposed if no bleeds make priming possible. ``priming`` is how the path
    primes while those that prime on less head already run, None if that costs it none of the head
    it needs.
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
    priming: BranchPriming | None

    @property
    def pockets(self) -> tuple[tuple[float, float], ...]:
        """Stretches (from, to) [m] in which the water may leave air while it flows."""
        return tuple(pocket for high_point in self.high_points for pocket in high_point.pockets)

    @property
    def starts(self) -> bool:
        """Whether the pump primes the path as it stands."""
        return self.start_head <= self.shutoff_head + ROUNDING

    def keeps_air(self, high_point: HighPoint) -> bool:
        """Whether a high point holds air down its whole falling leg, whatever the flow.

        One ahead of the pump does, and so does every one if the pump cannot prime the path.
        """
        if high_point.state == "vented" or high_point.open_end:
            return False
        return high_point.side == "suction" or not self.starts

    @property
    def starts_with_spare(self) -> bool:
        """Whether it does so with 10 % of its shut-off head in reserve."""
        return self.start_head <= (1 - START_SPARE) * self.shutoff_head + ROUNDING

    @property
    def starves(self) -> bool:
        """Whether the path primes alone, but not while those that prime on less head run."""
        return self.starts and self.priming is not None and not self.priming.primes

    @property
    def bleeds_suffice(self) -> bool:
        """Whether the path primes with a bleed wherever one would let the air out for good."""
        return self.start_head_vented <= self.shutoff_head + ROUNDING


@dataclass(frozen=True)
class _Path(PrimingPath):
    """What is known of a path before bleeds are proposed for it."""

    low_points: tuple[LowPoint, ...]
    rises: Rises
    outlet: ProposedBleed | None

    def proposals(self, chosen: frozenset[int]) -> tuple[ProposedBleed, ...]:
        first = () if self.outlet is None else (self.outlet,)
        return (*first, *(high_point_bleed(self.high_points, number) for number in sorted(chosen)))

    @property
    def with_outlet(self) -> Rises:
        """The rises with a bleed added at the pump's outlet if it is missing."""
        high_point = None if self.outlet is None else self.outlet.high_point
        return self.rises if high_point is None else self.rises.without(frozenset({high_point}))


def air_paths(network: Network, point: OperatingPoint) -> tuple[AirPath, ...]:
    """Air on every path from sea to sea, at an operating point.

    Flows are those of the point. Where paths share a high point, one bleed serves them all and is
    listed on each: none of the bleeds of all the paths together is redundant.
    """
    paths = [
        _path(line, point, branch, parts)
        for (_, line), (branch, parts) in zip(profiles(network), network.paths(), strict=True)
    ]
    shutoff_head = weakest_shutoff(network, point.shutoff_head)
    chosen = _choose_vents(paths, shutoff_head)
    primings = branch_primings(network, paths, point.line_flow)
    return tuple(
        AirPath(
            branch=path.branch,
            profile=path.line,
            high_points=path.high_points,
            low_points=path.low_points,
            start_head=path.rises.head,
            start_head_proposed=path.with_outlet.without(vents).head,
            start_head_vented=path.rises.without(path.rises.ventable).head,
            shutoff_head=shutoff_head,
            bleeds=judge_bleeds(path.line, path.high_points, path.low_points, point),
            proposed=path.proposals(vents),
            suction=suction_side(
                network.pump.curve.self_priming, network.parts, path.line, path.high_points
            ),
            priming=branch_priming,
        )
        for path, vents, branch_priming in zip(paths, chosen, primings, strict=True)
    )


def _path(line: Profile, point: OperatingPoint, branch: str, parts: Sequence[int]) -> _Path:
    high_points = find_high_points(line, point)
    path_rises = rises(line, high_points)
    return _Path(
        branch=branch,
        parts=tuple(parts),
        line=line,
        high_points=high_points,
        head=path_rises.head,
        low_points=find_low_points(line),
        rises=path_rises,
        outlet=outlet_bleed(line, high_points, point),
    )


def _choose_vents(paths: Sequence[_Path], shutoff_head: float) -> list[frozenset[int]]:
    """High points to vent on each path.

    First the fewest that each path needs by itself. Then, starting with those that the fewest paths
    share, each bleed is dropped that the others make redundant on all of its paths.
    """
    rises = [path.with_outlet for path in paths]
    limits = [_head_limit(path_rises, shutoff_head) for path_rises in rises]
    numbers: dict[tuple[int, float], dict[int, int]] = {}
    wanted: set[tuple[int, float]] = set()
    for i, (path, path_rises, limit) in enumerate(zip(paths, rises, limits, strict=True)):
        for number in sorted(path_rises.ventable):
            numbers.setdefault(high_point_bleed(path.high_points, number).key, {})[i] = number
        if limit is not None:
            wanted |= {
                high_point_bleed(path.high_points, number).key
                for number in path_rises.fewest(limit)
            }
    chosen: list[set[int]] = [set() for _ in paths]
    places = sorted((key for key in numbers if key in wanted), key=lambda key: len(numbers[key]))
    for key in places:
        for i, number in numbers[key].items():
            chosen[i].add(number)
    for key in places:
        fewer = {i: frozenset(chosen[i] - {number}) for i, number in numbers[key].items()}
        if all(_primes(rises[i].without(vents), limits[i]) for i, vents in fewer.items()):
            for i, number in numbers[key].items():
                chosen[i].discard(number)
    return [frozenset(vents) for vents in chosen]


def _head_limit(path_rises: Rises, shutoff_head: float) -> float | None:
    """Head [m] to prime on: with 10 % of shut-off head in reserve, or the best that bleeds can do.

    None if not even a bleed at every high point that stays free of air makes priming possible.
    """
    best = path_rises.without(path_rises.ventable).head
    return None if best > shutoff_head + ROUNDING else max((1 - START_SPARE) * shutoff_head, best)


def _primes(path_rises: Rises, limit: float | None) -> bool:
    return limit is None or path_rises.head <= limit + ROUNDING
