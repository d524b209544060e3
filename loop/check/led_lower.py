"""Hoses led without the high points on their way, behind which air takes head."""

from collections.abc import Iterator

from loop.check.job_changes import Care
from loop.job import Job
from loop.parts import Hose
from loop.words.actions import Action, Address, SetHeights
from loop.words.base import start_height
from loop.words.numbers import round_down


def without_high_points(job: Job, hose: Hose, at: Address) -> SetHeights | None:
    """A hose so laid that nothing on its way stands above its ends; None where nothing does."""
    most = round_down(max(start_height(job, at), hose.to), "height", job.units)
    *way, _ = hose.points
    high = tuple((along, most) for along, height in way if height > most)
    return SetHeights(at, high) if high else None


def led_lower(care: Care) -> Iterator[Action]:
    """The hoses in which air takes head led lower, each by itself, or all where none is enough."""
    context = care.context
    network = context.network
    air = dict.fromkeys(leg.from_part for leg in context.point.legs if leg.head_taken > 0)
    lower = []
    for index in map(network.places.index, air):
        hose = network.parts[index]
        if isinstance(hose, Hose):
            change = without_high_points(context.job, hose, context.addresses[index])
            lower += [] if change is None else [change]
    enough = list(care.that_cure(lower))
    yield from enough
    if not enough and len(lower) > 1 and care.cures(*lower):
        yield care.with_(*lower)
