"""Findings about humps in the suction line, and where a high point is."""

from collections.abc import Iterator

from loop.air.air_paths import AirPath, Crest, Move, ProposedBleed, SuctionSide
from loop.check.result import Finding
from loop.check.rounded import at_least, at_most
from loop.check.subject import COMMON, Subject, finding


def hump_findings(subject: Subject, path: AirPath) -> Iterator[Finding]:
    """suction-above-water, suction-hump: one a hump, with what cures them all."""
    for hump in path.suction.humps:
        crest = path.crests[hump.crest]
        stops = hump.above_water and not path.suction.self_priming
        yield finding(
            "suction-above-water" if stops else "suction-hump",
            "danger" if stops else "warning",
            subject.where(crest.part),
            f"the suction line has a hump at {at_place(subject, crest)}: it holds air"
            + (
                ", and above the waterline the sea does not push it out: a pump that does not "
                "prime itself stops there"
                if stops
                else f", which the pump must pull past; "
                f"{subject.say(crest.drop, 'height')} of it stands in the falling leg"
            ),
            _without_humps(subject, path.suction),
            f"{COMMON}: the suction rises all the way from the sea to the pump",
        )


def _without_humps(subject: Subject, suction: SuctionSide) -> str:
    """The heights of the whole line, so that what cures one hump leaves no other."""
    hoses: dict[int, list[str]] = {}
    for move in suction.moves:
        at = (
            f"{subject.say(move.along, 'length')} from its start" if move.on_part else "its far end"
        )
        hoses.setdefault(move.part, []).append(f"to {_level(subject, move)} at {at}")
    *most, last = (f"{subject.name(part)} {', '.join(to)}" for part, to in hoses.items())
    all_the_way = (
        "so that the line rises all the way"
        if suction.rises
        else "so that no high point is left before the pump"
    )
    return f"bring {', '.join(most)}{' and ' * bool(most)}{last}, {all_the_way}"


def _level(subject: Subject, move: Move) -> str:
    rounded = at_most if move.to < move.height else at_least
    return rounded(subject, move.to, "height")


def at_place(subject: Subject, place: Crest | ProposedBleed) -> str:
    """Where on the boat: ``the high point of hose 2, 14 in above the waterline``."""
    height = subject.say(abs(place.height), "height")
    level = f"{height} {'above' if place.height >= 0 else 'below'} the waterline"
    name = subject.name(place.part)
    if place.on_part:
        return f"{name}, {subject.say(place.along, 'length')} from its start, {level}"
    return f"the far end of {name}, {level}"
