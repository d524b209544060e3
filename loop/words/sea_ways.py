"""The ways by which the sea comes to an open place of the line, and the seacocks that shut them."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from loop.job import Job, locate
from loop.job.address import Path, written
from loop.parts import Discharge, Intake, Manifold, Part, Seacock
from loop.words.base import Address

# Two parts that meet; a manifold meets the ends of its branches where these join again.
Joint: TypeAlias = frozenset[Address]


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


def seacocks_to_shut(job: Job, opened: Iterable[Joint]) -> tuple[Address, ...] | None:
    """The seacocks, the nearest to each opening in the hull, that keep the sea from open joints.

    Returns
    -------
    tuple of addresses, or None
        In the order of the file; empty where no opening of the hull lies below the waterline, None
        where the sea comes to an open joint by a way on which no seacock stands.
    """
    meets, joints, shut = meetings(job), set(opened), set[Address]()
    located = locate(job.part)
    cocks = {item.address for item in located if isinstance(item.part, Seacock)}
    for item in located:
        if not lets_the_sea_in(item.part):
            continue
        wet = _reached(meets, item.address, cocks)
        if any(joint & wet - cocks for joint in joints):
            return None
        for cock in wet & cocks:
            beyond = _reached(meets, cock, wet)
            if any(joint & (beyond - wet | {cock}) for joint in joints):
                shut.add(cock)
    return tuple(item.address for item in located if item.address in shut)


def lets_the_sea_in(part: Part) -> bool:
    """Whether a part is an opening in the hull at or below the waterline at rest."""
    return isinstance(part, Intake | Discharge) and part.height <= 0


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
