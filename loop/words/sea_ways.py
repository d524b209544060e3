"""Paths by which the sea reaches an open joint, and the seacocks that shut them."""

from collections.abc import Iterable
from typing import TypeAlias

from loop.job import Job
from loop.parts import Discharge, Pump, Seacock
from loop.records import dataclass
from loop.words.base import Address
from loop.words.meetings import join
from loop.words.speaker import Speaker

# Two parts that meet; a manifold meets the ends of its branches where these join again.
Joint: TypeAlias = frozenset[Address]


@dataclass(frozen=True)
class KeptOut:
    """Seacocks to shut and outlets to plug that keep the sea from open joints."""

    cocks: tuple[Address, ...] = ()
    plugs: tuple[Address, ...] = ()


def joints_of(meets: dict[Address, list[Address]], part: Address) -> set[Joint]:
    """The joints that are open while a part is off."""
    ends = [end for end in (part, join(part)) if end in meets]
    return {frozenset((end, other)) for end in ends for other in meets[end]}


def joint_after(meets: dict[Address, list[Address]], part: Address) -> set[Joint]:
    """The joint between a part and what follows it."""
    end = join(part) if join(part) in meets else part
    return {frozenset((end, meets[end][-1]))}


def kept_out(speaker: Speaker, opened: Iterable[Joint]) -> KeptOut | None:
    """Find what keeps the sea from open joints: the seacocks nearest to each hull opening.

    An outlet that is dry at rest, but that heel, trim, waves or people aboard may put under, is
    shut like one under water. With no seacock on the path from it, it is plugged if one of these
    alone is enough to put it under.

    Returns
    -------
    KeptOut or None
        In file order; empty where the water reaches no hull opening, None where an opening under
        water leads to an open joint with no seacock between.
    """
    meets, joints = speaker.meets, set(opened)
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


def outlets_shut(job: Job) -> bool:
    """Whether a seacock can shut the sea out of the pump at every outlet under water."""
    speaker = Speaker(job)
    cocks = {at for at, item in speaker.parts.items() if isinstance(item.part, Seacock)}
    under = (
        at
        for at, item in speaker.parts.items()
        if isinstance(item.part, Discharge) and item.part.height <= 0
    )
    pump = next(at for at, item in speaker.parts.items() if isinstance(item.part, Pump))
    return all(pump not in _reached(speaker.meets, at, cocks) for at in under)


def _reached(
    meets: dict[Address, list[Address]], start: Address, stops: set[Address]
) -> set[Address]:
    """Parts that water reaches from `start`, including those in `stops`."""
    found, left = {start}, [start]
    while left:
        for other in meets[left.pop()]:
            if other not in found:
                found.add(other)
                left += [other] * (other not in stops)
    return found
