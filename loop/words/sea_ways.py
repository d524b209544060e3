"""The ways by which the sea comes to an open place of the line, and the seacocks that shut them."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from loop.job import Job
from loop.job.address import Path, written
from loop.parts import Discharge, Manifold, Part, Seacock
from loop.records import dataclass
from loop.words.base import Address
from loop.words.speaker import Speaker

# Two parts that meet; a manifold meets the ends of its branches where these join again.
Joint: TypeAlias = frozenset[Address]


@dataclass(frozen=True)
class KeptOut:
    """What keeps the sea from open joints: seacocks that are shut, and outlets that are plugged."""

    cocks: tuple[Address, ...] = ()
    plugs: tuple[Address, ...] = ()


def meetings(job: Job) -> dict[Address, list[Address]]:
    """The parts that each part meets, the one after it last; a joint of branches is ``….join``."""
    meets: dict[Address, list[Address]] = {}
    for one, other in _pairs(job.part, ()):
        meets.setdefault(one, [])
        meets.setdefault(other, []).append(one)
    for one, other in _pairs(job.part, ()):
        meets[one].append(other)
    return meets


def joints_of(meets: dict[Address, list[Address]], part: Address) -> set[Joint]:
    """The joints that are open while a part is off."""
    ends = [end for end in (part, _join(part)) if end in meets]
    return {frozenset((end, other)) for end in ends for other in meets[end]}


def joint_after(meets: dict[Address, list[Address]], part: Address) -> set[Joint]:
    """The joint between a part and what follows it."""
    end = _join(part) if _join(part) in meets else part
    return {frozenset((end, meets[end][-1]))}


def kept_out(speaker: Speaker, opened: Iterable[Joint]) -> KeptOut | None:
    """What keeps the sea from open joints: of seacocks the nearest to each opening in the hull.

    An outlet that is dry at rest, and that heel, trim, waves or people aboard may put under, is
    shut like one under water. Where no seacock stands on the way from it, it is plugged if one of
    these is enough for that.

    Returns
    -------
    KeptOut or None
        In the order of the file; empty where the water reaches no opening of the hull, None where
        the sea comes to an open joint by an opening under water and no seacock stands on the way.
    """
    meets, joints = meetings(speaker.job), set(opened)
    shut, plugs = set[Address](), set[Address]()
    cocks = {at for at, item in speaker.parts.items() if isinstance(item.part, Seacock)}
    for address, item in speaker.parts.items():
        if not speaker.may_flood(address):
            continue
        wet = _reached(meets, address, cocks)
        if any(joint & wet - cocks for joint in joints):
            if not (isinstance(item.part, Discharge) and item.part.height > 0):
                return None
            plugs |= {address} if speaker.may_flood(address, together=False) else set()
            continue
        for cock in wet & cocks:
            beyond = _reached(meets, cock, wet)
            if any(joint & (beyond - wet | {cock}) for joint in joints):
                shut.add(cock)
    return KeptOut(*(tuple(at for at in speaker.parts if at in some) for some in (shut, plugs)))


def _reached(
    meets: dict[Address, list[Address]], start: Address, stops: set[Address]
) -> set[Address]:
    """The parts that water comes to from one, those that stop it included."""
    found, left = {start}, [start]
    while left:
        for other in meets[left.pop()]:
            if other not in found:
                found.add(other)
                left += [other] * (other not in stops)
    return found


def _pairs(parts: Sequence[Part], path: Path) -> Iterator[tuple[Address, Address]]:
    """Each part with the next that it meets, in the water's direction."""
    ends = [written((*path, "part", index)) for index in range(len(parts))]
    for index, part in enumerate(parts):
        here = end = ends[index]
        if isinstance(part, Manifold):
            end = _join(here)
            for number, branch in enumerate(part.branch):
                inside = (*path, "part", index, "branch", number)
                last = written((*inside, "part", len(branch.part) - 1))
                yield here, written((*inside, "part", 0))
                yield from _pairs(branch.part, inside)
                if not branch.overboard:
                    yield last if not isinstance(branch.part[-1], Manifold) else _join(last), end
        if index + 1 < len(parts):
            yield end, ends[index + 1]


def _join(part: Address) -> Address:
    return f"{part}.join"
