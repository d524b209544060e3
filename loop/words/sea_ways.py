"""The ways by which the sea comes to an open place of the line, and the seacocks that shut them."""

from collections.abc import Iterable
from typing import TypeAlias

from loop.parts import Discharge, Seacock
from loop.records import dataclass
from loop.words.base import Address
from loop.words.meetings import join
from loop.words.speaker import Speaker

# Two parts that meet; a manifold meets the ends of its branches where these join again.
Joint: TypeAlias = frozenset[Address]


@dataclass(frozen=True)
class KeptOut:
    """What keeps the sea from open joints: seacocks that are shut, and outlets that are plugged."""

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
