"""Actions on bleed valves: fit one, which may cut a hose, or move one."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, ClassVar, Literal, TypeAlias

import numpy as np

from loop.job import Edit, Insert, Job, Put, Remove
from loop.parts import Hose, VentedLoop
from loop.records import dataclass
from loop.words.base import Action, Address, following, part_at, start_height

# When to open it: with the pump running, with the pump stopped, or while the line fills.
When: TypeAlias = Literal["running", "stopped", "filling"]
# Extra hose [m] on either side of a vented loop, beyond the height gained: engineering estimate.
_BEND = 0.15


@dataclass(frozen=True)
class FitBleed(Action):
    """A bleed valve just after `part`, or `along` [m] from the start of that hose.

    In a hose it takes a cut and two more barbs. ``height`` [m] is that of the valve; ``opened``
    says when to use it.
    """

    kind: ClassVar[str] = "fit-bleed"
    part: Address
    along: float | None = None
    height: float = 0.0
    opened: When = "running"

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """One more part, or three in place of one."""
        if self.along is not None:
            return cut(job, self.part, [self.along])
        bleed = _bleed(part_at(job, self.part).inner_bore)
        return (Insert(following(job, self.part), bleed),)


@dataclass(frozen=True)
class MoveBleed(Action):
    """The bleed valve `part` removed and fitted elsewhere, as in `FitBleed`."""

    kind: ClassVar[str] = "move-bleed"
    part: Address
    to: Address
    distance: float | None = None
    height: float = 0.0
    opened: When = "running"

    @property
    def fitting(self) -> FitBleed:
        """The second half of the move."""
        return FitBleed(self.to, self.distance, self.height, self.opened)

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Out of one place and into another."""
        return (Remove(self.part), *self.fitting.edits(job))


def cut(job: Job, address: Address, places: Sequence[float]) -> tuple[Edit, ...]:
    """Edits that cut a hose at these distances [m] from its start, with a bleed in each cut."""
    hose = part_at(job, address)
    assert isinstance(hose, Hose)
    first, *rest = pieces(job, address, hose, sorted(places))
    edits: list[Edit] = [Put(f"{address}.{key}", value) for key, value in first.items()]
    after = following(job, address)
    for piece in rest:
        edits += [Insert(after, _bleed(hose.inner_bore)), Insert(after, piece)]
    return tuple(edits)


def pieces(
    job: Job, address: Address, hose: Hose, places: Sequence[float]
) -> Iterator[dict[str, Any]]:
    """Changed values of the first piece, then the other pieces as tables; the first has the sweeps.

    The ends of the hose keep their barbs, and each cut adds one on either side.
    """
    edges = [0.0, *places, hose.length]
    distances = [0.0, *(at for at, _ in hose.points)]
    heights = [start_height(job, address), *(height for _, height in hose.points)]
    count = len(edges) - 1
    for number, (start, end) in enumerate(pairwise(edges)):
        inside = [(at, height) for at, height in hose.points if start < at < end]
        piece: dict[str, Any] = {
            "length": end - start,
            "to": float(np.interp(end, distances, heights)),
            "via": [{"at": at - start, "height": height} for at, height in inside] or None,
            "barbs": _barbs(hose.barbs, number, count),
        }
        if number == 0:
            yield piece
            continue
        own = {k: v for k, v in piece.items() if v is not None}
        yield {"kind": "hose", **as_same_hose(hose), **own}


def as_same_hose(hose: Hose) -> dict[str, Any]:
    """Values that another piece of the same hose shares."""
    keys = ("bore", "barb_bore", "lining", "roughness", "bend_radius")
    return {key: value for key in keys if (value := getattr(hose, key)) is not None}


def _barbs(whole: int, number: int, count: int) -> int:
    own = (whole - whole // 2) * (number == 0) + whole // 2 * (number == count - 1)
    return own + (number > 0) + (number < count - 1)


def _bleed(bore: float) -> dict[str, Any]:
    return {"kind": "bleed", "bore": bore}


@dataclass(frozen=True)
class FitVent(Action):
    """A vented loop `along` [m] from the start of a hose, at a height [m above the waterline].

    Where the hose is lower there, more hose on either side runs up to the loop.
    """

    kind: ClassVar[str] = "fit-vent"
    part: Address
    along: float
    height: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The loop, between two hoses unless it is at the hose's start and height."""
        hose = part_at(job, self.part)
        assert isinstance(hose, Hose)
        vent = {"kind": VentedLoop().kind, "bore": hose.inner_bore}
        more = self.more(job)
        if self.along > 0:
            before, behind = pieces(job, self.part, hose, [self.along])
            before |= {"to": self.height, "length": before["length"] + more}
            own = [Put(f"{self.part}.{key}", value) for key, value in before.items()]
            after = following(job, self.part)
            return (*own, Insert(after, vent), Insert(after, _longer(behind, more)))
        if more == 0:
            return (Insert(self.part, vent),)
        rise = {"kind": "hose", **as_same_hose(hose), "length": more, "to": self.height}
        via = [_point(*one) for one in hose.points[:-1]]
        longer = _longer({"length": hose.length, "via": via}, more)
        return (
            *(Put(f"{self.part}.{key}", value) for key, value in longer.items() if value),
            Insert(self.part, rise),
            Insert(self.part, vent),
        )

    def more(self, job: Job) -> float:
        """Extra hose [m] on either side of the loop; 0 if the hose is high enough."""
        hose = part_at(job, self.part)
        assert isinstance(hose, Hose)
        distances = [0.0, *(at for at, _ in hose.points)]
        heights = [start_height(job, self.part), *(height for _, height in hose.points)]
        rise = self.height - float(np.interp(self.along, distances, heights))
        return rise + _BEND if rise > 0 else 0.0


def _longer(piece: dict[str, Any], more: float) -> dict[str, Any]:
    """A piece of hose with `more` [m] added at its start, its points shifted by as much."""
    later = [_point(one["at"] + more, one["height"]) for one in piece.get("via") or ()]
    return {**piece, "length": piece["length"] + more, **({"via": later} if later else {})}


def _point(at: float, height: float) -> dict[str, float]:
    return {"at": at, "height": height}
