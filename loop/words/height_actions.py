"""Actions that change heights and runs: hoses, discharges, intake, pump."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import ClassVar

from loop.job import Edit, Job, Located, Put, Remove, locate
from loop.parts import Discharge, Elbow, Hose, Pump
from loop.records import dataclass
from loop.words.base import Action, Address, hose_before, located, on_line, part_at

# Distance along a hose [m] within which two places are the same.
_SAME = 1e-6


@dataclass(frozen=True)
class SetHeights(Action):
    """New heights of points of a hose: (distance from its start, height) [m].

    A distance equal to the hose's length is its far end.
    """

    kind: ClassVar[str] = "set-height"
    part: Address
    points: tuple[tuple[float, float], ...]

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The hose's points, with these moved."""
        hose = part_at(job, self.part)
        assert isinstance(hose, Hose)
        return _with_points(self.part, hose, [(at, self._to(at, now)) for at, now in hose.points])

    def _to(self, at: float, now: float) -> float:
        return next((to for place, to in self.points if abs(place - at) < _SAME), now)


@dataclass(frozen=True)
class EvenHose(Action):
    """A hose led evenly from end to end, without high or low points."""

    kind: ClassVar[str] = "even-hose"
    part: Address

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """No points on the way."""
        return (Put(f"{self.part}.via", []),)


@dataclass(frozen=True)
class LeadRound(Action):
    """The elbows `part` removed, and a hose beside them run in `bends` long bends instead."""

    kind: ClassVar[str] = "lead-round"
    part: Address
    hose: Address
    bends: int

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The hose's sweeps, each with an elbow's angle; one part fewer."""
        elbow, hose = part_at(job, self.part), part_at(job, self.hose)
        assert isinstance(elbow, Elbow)
        assert isinstance(hose, Hose)
        sweeps = (*hose.sweeps, *[elbow.angle] * self.bends)
        return (Put(f"{self.hose}.sweeps", sweeps), Remove(self.part))


@dataclass(frozen=True)
class _MoveEnds(Action):
    """A part, and the ends of the hoses that meet there, at another height [m].

    The hose after it, or before it at the end of a line, becomes longer by as much as its end moves
    where it would no longer reach.
    """

    part: Address
    height: float

    def longer(self, job: Job) -> dict[Address, float]:
        """The hose that must be longer, and by how much [m]; empty if none must."""
        line = on_line(job, self.part)
        here = next(i for i, item in enumerate(line) if item.address == self.part)
        after = next((item for item in line[here:] if isinstance(item.part, Hose)), None)
        if after is not None:
            reaches = _reaches(after, self.height, after.end)
            return {} if reaches else {after.address: abs(self.height - after.start)}
        before = hose_before(job, self.part)
        reaches = _reaches(before, before.start, self.height)
        return {} if reaches else {before.address: abs(self.height - before.end)}

    def lengthened(self, job: Job) -> Iterator[Edit]:
        """The longer hoses, their points as far from the ends that stay as they were."""
        for address, more in self.longer(job).items():
            item = located(job, address)
            assert isinstance(item.part, Hose)
            yield Put(f"{address}.length", item.part.length + more)
            shift = more if item.path > located(job, self.part).path else 0.0
            way = [{"at": at + shift, "height": to} for at, to in item.part.points[:-1]]
            if way:
                yield Put(f"{address}.via", way)


def _reaches(hose: Located, start: float, end: float) -> bool:
    """Whether a hose is long enough between these heights [m], over its points."""
    assert isinstance(hose.part, Hose)
    *way, (length, _) = hose.part.points
    points = [(0.0, start), *way, (length, end)]
    return all(abs(high - low) <= to - at for (at, low), (to, high) in pairwise(points))


@dataclass(frozen=True)
class _MoveOutlet(_MoveEnds):
    """A discharge, and the end of the hose before it, at another height [m]."""

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Both heights."""
        hose = hose_before(job, self.part)
        heights = (Put(f"{hose.address}.to", self.height), Put(f"{self.part}.height", self.height))
        return (*self.lengthened(job), *heights)


@dataclass(frozen=True)
class LowerOutlet(_MoveOutlet):
    """A discharge lowered to `height` [m], with the end of the hose before it."""

    kind: ClassVar[str] = "lower-outlet"


@dataclass(frozen=True)
class RaiseOutlet(_MoveOutlet):
    """A discharge raised to `height` [m], with the end of the hose before it."""

    kind: ClassVar[str] = "raise-outlet"


@dataclass(frozen=True)
class LowerIntake(_MoveEnds):
    """The intake at another height [m above the waterline]."""

    kind: ClassVar[str] = "lower-intake"

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Its height, and the first hose longer if it must be."""
        return (*self.lengthened(job), Put(f"{self.part}.height", self.height))


@dataclass(frozen=True)
class MoveIntake(Action):
    """The intake at a distance [m] off the centerline, or fore or aft of the waterline's middle."""

    kind: ClassVar[str] = "move-intake"
    part: Address
    off_centre: float | None = None
    fore_aft: float | None = None

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Its distance, on its present side."""
        found = []
        for axis in ("off_centre", "fore_aft"):
            to, now = getattr(self, axis), getattr(job.intake, axis) or 0.0
            if to is not None:
                found.append(Put(f"{self.part}.{axis}", math.copysign(to, now)))
        return tuple(found)


@dataclass(frozen=True)
class MovePump(_MoveEnds):
    """The pump mounted at `height` [m above the waterline]."""

    kind: ClassVar[str] = "move-pump"

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Where the hose before it ends."""
        to = Put(f"{hose_before(job, self.part).address}.to", self.height)
        return (*self.lengthened(job), to)


@dataclass(frozen=True)
class MoveStrainer(Action):
    """A strainer mounted at `height` [m above the waterline]."""

    kind: ClassVar[str] = "move-strainer"
    part: Address
    height: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """Where the hose before it ends."""
        return (Put(f"{hose_before(job, self.part).address}.to", self.height),)


@dataclass(frozen=True)
class LowerLine(Action):
    """Everything after the pump, or in a branch, lowered to `height` [m] where it is higher.

    ``branch`` names the branch, outer ones first; "" is the whole line after the pump.
    """

    kind: ClassVar[str] = "lower-line"
    height: float
    branch: str = ""

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The points of each hose that is too high, and discharges with the hose before them."""
        edits: list[Edit] = []
        for address in self.parts(job):
            part = part_at(job, address)
            if isinstance(part, Hose):
                lower = [(at, min(height, self.height)) for at, height in part.points]
                edits += _with_points(address, part, lower)
            else:
                edits.append(Put(f"{address}.height", self.height))
        return tuple(edits)

    def parts(self, job: Job) -> tuple[Address, ...]:
        """The hoses and discharges that it changes."""
        found, after_pump = [], False
        for item in locate(job.part):
            after_pump = after_pump or isinstance(item.part, Pump)
            here = item.branch == self.branch or item.branch.startswith(f"{self.branch} / ")
            if not after_pump or (self.branch and not here):
                continue
            if isinstance(item.part, Hose):
                high = any(height > self.height for _, height in item.part.points)
            else:
                high = isinstance(item.part, Discharge) and item.part.height > self.height
            if high:
                found.append(item.address)
        return tuple(found)


def _with_points(
    address: Address, hose: Hose, points: list[tuple[float, float]]
) -> tuple[Edit, ...]:
    """Edits that run a hose over these points, the far end last.

    No edit of what stays: another action of the same set may move it.
    """
    (*way, (_, end)), (*was, _) = points, hose.points
    edits: list[Edit] = [Put(f"{address}.to", end)] if end != hose.to else []
    if way != was:
        edits.append(Put(f"{address}.via", [{"at": at, "height": height} for at, height in way]))
    return tuple(edits)


def outlet_of(job: Job, address: Address) -> float:
    """Height of a discharge [m above the waterline]."""
    part = located(job, address).part
    assert isinstance(part, Discharge)
    return part.height
