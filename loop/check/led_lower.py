"""Hoses rerouted without the high points behind which air costs head."""

from collections.abc import Iterator
from itertools import takewhile

from loop.check.job_changes import Care
from loop.job import Job, Located, locate
from loop.parts import Bleed, Hose
from loop.words.actions import Action, Address, SetHeights, together
from loop.words.base import start_height
from loop.words.numbers import round_down


def run_of_hose(job: Job, at: Address) -> tuple[Located, ...]:
    """The continuous run of hoses with the hose or bleed at an address; bleeds are within it.

    Empty if another kind of part is there.
    """
    parts = locate(job.part)
    here = next(number for number, item in enumerate(parts) if item.address == at)
    line = at.rpartition("[")[0]

    def hangs(item: Located) -> bool:
        return isinstance(item.part, Hose | Bleed) and item.address.rpartition("[")[0] == line

    before = [*takewhile(hangs, reversed(parts[:here]))][::-1]
    after = [*takewhile(hangs, parts[here:])]
    run = [*before, *after] if after else []
    return tuple(item for item in run if isinstance(item.part, Hose))


def without_high_points(job: Job, run: tuple[Located, ...]) -> Action | None:
    """A run of hose routed so that no point of it is above its ends.

    None if no point is.
    """
    if not run:
        return None
    ways = [(item.address, item.part.points) for item in run if isinstance(item.part, Hose)]
    last, points = ways[-1]
    ends = points[-1][1], start_height(job, ways[0][0])
    most = round_down(max(ends), "height", job.units)
    ways[-1] = last, points[:-1]
    steps = []
    for at, way in ways:
        high = tuple((along, most) for along, height in way if height > most)
        steps += [SetHeights(at, high)] if high else []
    return together(steps) if steps else None


def led_lower(care: Care) -> Iterator[Action]:
    """Runs in which air costs head, routed lower: each by itself, or all if none suffices."""
    context = care.context
    network, job = context.network, context.job
    air = dict.fromkeys(leg.from_part for leg in context.point.legs if leg.head_taken > 0)
    places = (context.addresses[index] for index in map(network.places.index, air))
    runs = dict.fromkeys(run_of_hose(job, at) for at in places)
    lower = [change for run in runs if (change := without_high_points(job, run))]
    enough = list(care.that_cure(lower))
    yield from enough
    if not enough and len(lower) > 1 and care.cures(*lower):
        yield care.with_(*lower)
