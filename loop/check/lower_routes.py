"""Hoses rerouted without the high points behind which air costs head."""

from collections.abc import Iterator
from itertools import takewhile

from loop.check.job_changes import Plan
from loop.job import Job, Located, locate
from loop.parts import Bleed, Hose
from loop.words.actions import Action, Address, SetHeights, together
from loop.words.base import start_height
from loop.words.numbers import round_down


def hose_run(job: Job, at: Address) -> tuple[Located, ...]:
    """The continuous run of hoses with the hose or bleed at an address; bleeds are within it.

    Empty if another kind of part is there.
    """
    parts = locate(job.part)
    here = next(number for number, item in enumerate(parts) if item.address == at)
    line = at.rpartition("[")[0]

    def is_flexible(item: Located) -> bool:
        return isinstance(item.part, Hose | Bleed) and item.address.rpartition("[")[0] == line

    before = [*takewhile(is_flexible, reversed(parts[:here]))][::-1]
    after = [*takewhile(is_flexible, parts[here:])]
    run = [*before, *after] if after else []
    return tuple(item for item in run if isinstance(item.part, Hose))


def without_high_points(job: Job, run: tuple[Located, ...]) -> Action | None:
    """A run of hose routed so that no point of it is above its ends.

    None if no point is.
    """
    if not run:
        return None
    routes = [(item.address, item.part.points) for item in run if isinstance(item.part, Hose)]
    last, points = routes[-1]
    ends = points[-1][1], start_height(job, routes[0][0])
    most = round_down(max(ends), "height", job.units)
    routes[-1] = last, points[:-1]
    steps = []
    for at, route in routes:
        high = tuple((along, most) for along, height in route if height > most)
        steps += [SetHeights(at, high)] if high else []
    return together(steps) if steps else None


def reroute_lower(plan: Plan) -> Iterator[Action]:
    """Runs in which air costs head, routed lower: each by itself, or all if none suffices."""
    context = plan.context
    network, job = context.network, context.job
    air = dict.fromkeys(leg.from_part for leg in context.point.legs if leg.head_taken > 0)
    places = (context.addresses[index] for index in map(network.places.index, air))
    runs = dict.fromkeys(hose_run(job, at) for at in places)
    lower = [change for run in runs if (change := without_high_points(job, run))]
    enough = list(plan.that_cure(lower))
    yield from enough
    if not enough and len(lower) > 1 and plan.cures(*lower):
        yield plan.followed_by(*lower)
