"""Air in the loop: where it is trapped, whether it leaves, and whether the loop can start.

One answer for each way from the sea to the sea. A series loop has one way; with branches, the one
that needs the most head starves first while starting.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from loop.hydraulics import Network, OperatingPoint
from loop.margins.bleeds import (
    BleedJudgement,
    ProposedBleed,
    crest_bleed,
    judge_bleeds,
    outlet_bleed,
)
from loop.margins.clearing import TESTED_SLOPE, clearing_froude, clearing_velocity
from loop.margins.crests import Crest, Sag, find_crests, find_sags
from loop.margins.profile import LEAST_SWING, Profile, profile
from loop.margins.start import Rises, rises, weakest_shutoff

__all__ = [
    "LEAST_SWING",
    "START_SPARE",
    "TESTED_SLOPE",
    "AirPath",
    "BleedJudgement",
    "Crest",
    "Profile",
    "ProposedBleed",
    "Sag",
    "SuctionHump",
    "SuctionSide",
    "air_paths",
    "clearing_froude",
    "clearing_velocity",
    "profile",
]

# Share of the shut-off head that a start should leave to spare: common practice.
START_SPARE = 0.10


@dataclass(frozen=True)
class SuctionHump:
    """A crest on the way from the sea to the pump, which must rise all the way.

    ``crest`` is its place among the way's crests. It must come down by ``lower_by`` to
    ``lower_to`` [m above the waterline], and nothing before the low point behind it may lie higher;
    where that low point is deeper than the line may be, it must come up to the same height
    (``raise_sag``). ``above_water``: a pump that does not prime itself stops at it.
    """

    crest: int
    distance: float
    height: float
    lower_to: float
    lower_by: float
    raise_sag: bool
    above_water: bool


@dataclass(frozen=True)
class SuctionSide:
    """The way from the sea to the pump."""

    self_priming: bool
    humps: tuple[SuctionHump, ...]

    @property
    def stops_pump(self) -> bool:
        """Whether a hump above the waterline stops this pump."""
        return not self.self_priming and any(hump.above_water for hump in self.humps)


@dataclass(frozen=True)
class AirPath:
    """Air on one way from the sea to the sea.

    Heads [m]: ``start_head`` is needed to drive the air out as the way stands,
    ``start_head_proposed`` with the proposed bleeds, ``start_head_vented`` with one at every
    crest; ``shutoff_head`` is the most that the pump has on its lowest supply. ``proposed`` holds
    the smallest set of crests to vent that leaves 10 % of it to spare (or the most that bleeds
    can), and the bleed at the pump's outlet where there is none; on a way that shares crests with
    others, also what those need. None is proposed for a start that no bleeds make possible.
    """

    branch: str
    profile: Profile
    crests: tuple[Crest, ...]
    sags: tuple[Sag, ...]
    start_head: float
    start_head_proposed: float
    start_head_vented: float
    shutoff_head: float
    bleeds: tuple[BleedJudgement, ...]
    proposed: tuple[ProposedBleed, ...]
    suction: SuctionSide

    @property
    def pockets(self) -> tuple[tuple[float, float], ...]:
        """Stretches (from, to) [m] in which the running water may leave air."""
        return tuple(pocket for crest in self.crests for pocket in crest.pockets)

    @property
    def starts(self) -> bool:
        """Whether the pump drives the air out as the way stands."""
        return self.start_head <= self.shutoff_head

    @property
    def starts_with_spare(self) -> bool:
        """Whether it does with 10 % of its shut-off head to spare."""
        return self.start_head <= (1 - START_SPARE) * self.shutoff_head

    @property
    def bleeds_suffice(self) -> bool:
        """Whether it would with a bleed at every crest."""
        return self.start_head_vented <= self.shutoff_head


@dataclass(frozen=True)
class _Way:
    """What is known of a way before bleeds are proposed for it."""

    branch: str
    line: Profile
    crests: tuple[Crest, ...]
    sags: tuple[Sag, ...]
    rises: Rises
    outlet: ProposedBleed | None

    def proposals(self, chosen: frozenset[int]) -> tuple[ProposedBleed, ...]:
        first = () if self.outlet is None else (self.outlet,)
        return (*first, *(crest_bleed(self.crests, number) for number in sorted(chosen)))

    @property
    def with_outlet(self) -> Rises:
        """The rises once a missing bleed at the pump's outlet is there."""
        crest = None if self.outlet is None else self.outlet.crest
        return self.rises if crest is None else self.rises.without(frozenset({crest}))


def air_paths(network: Network, point: OperatingPoint) -> tuple[AirPath, ...]:
    """Air on every way from the sea to the sea, at an operating point.

    Flows are those of the point. Where ways share a crest one bleed serves them all,
    and is listed on each: of all the ways' bleeds together none could be left out.
    """
    ways = [_way(network, point, branch, parts) for branch, parts in network.paths()]
    shutoff_head = weakest_shutoff(network, point.shutoff_head)
    chosen = _choose(ways, shutoff_head)
    return tuple(
        AirPath(
            branch=way.branch,
            profile=way.line,
            crests=way.crests,
            sags=way.sags,
            start_head=way.rises.head,
            start_head_proposed=way.with_outlet.without(vents).head,
            start_head_vented=way.rises.without(way.rises.ventable).head,
            shutoff_head=shutoff_head,
            bleeds=judge_bleeds(way.line, way.crests, way.sags, point),
            proposed=way.proposals(vents),
            suction=_suction(network, way.line, way.crests),
        )
        for way, vents in zip(ways, chosen, strict=True)
    )


def _way(network: Network, point: OperatingPoint, branch: str, parts: Sequence[int]) -> _Way:
    line = profile(network, parts)
    crests = find_crests(line, point)
    return _Way(
        branch=branch,
        line=line,
        crests=crests,
        sags=find_sags(line),
        rises=rises(line, crests),
        outlet=outlet_bleed(line, crests, point),
    )


def _choose(ways: Sequence[_Way], shutoff_head: float) -> list[frozenset[int]]:
    """Crests to vent on each way.

    Each way is settled alone, with the fewest that it needs. Then, those that the fewest ways
    share first, each bleed is left out that the others make needless on every way it is on.
    """
    rises = [way.with_outlet for way in ways]
    limits = [_limit(each, shutoff_head) for each in rises]
    numbers: dict[tuple[int, float], dict[int, int]] = {}
    wanted: set[tuple[int, float]] = set()
    for i, (way, each, limit) in enumerate(zip(ways, rises, limits, strict=True)):
        for number in sorted(each.ventable):
            numbers.setdefault(crest_bleed(way.crests, number).key, {})[i] = number
        if limit is not None:
            wanted |= {crest_bleed(way.crests, number).key for number in each.fewest(limit)}
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

    None where not even a bleed at every crest makes a start possible.
    """
    best = way.without(way.ventable).head
    return None if best > shutoff_head else max((1 - START_SPARE) * shutoff_head, best)


def _starts(way: Rises, limit: float | None) -> bool:
    return limit is None or way.head <= limit + 1e-9


def _suction(network: Network, line: Profile, crests: Sequence[Crest]) -> SuctionSide:
    humps = tuple(
        _hump(line, crest, number) for number, crest in enumerate(crests) if crest.side == "suction"
    )
    return SuctionSide(network.pump.curve.self_priming, humps)


def _hump(line: Profile, crest: Crest, number: int) -> SuctionHump:
    """How far a hump must come down so that the line rises from the sea to the pump.

    A steadily rising line lies nowhere above a later point of it, nor below its own start (or the
    pump, where that sits below the intake). A hump that is itself below that start only has to
    come down to the low point behind it.
    """
    pump = line.points[line.pump]
    behind = [p.height for p in line.points[: line.pump + 1] if p.distance >= crest.distance]
    lowest = min(behind)
    floor = min(line.points[0].height, pump.height)
    raise_sag = lowest < floor < crest.height - LEAST_SWING
    lower_to = floor if raise_sag else lowest
    return SuctionHump(
        crest=number,
        distance=crest.distance,
        height=crest.height,
        lower_to=lower_to,
        lower_by=crest.height - lower_to,
        raise_sag=raise_sag,
        above_water=crest.height > 0,
    )
