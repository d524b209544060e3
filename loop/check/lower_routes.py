"""Hoses rerouted without the high points behind which air costs head."""

from collections.abc import Callable, Iterator
from itertools import takewhile

from loop.check.context import Context
from loop.check.plan import Plan
from loop.job import Job, Located, locate
from loop.parts import Bleed, Hose
from loop.words.actions import Action, Address, EvenHose, SetHeights, together
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


def led_evenly(job: Job, run: tuple[Located, ...]) -> Action | None:
    """A run's hoses each led evenly from end to end, without high or low points.

    None if no hose of it has any.
    """
    even = [EvenHose(item.address) for item in run if isinstance(item.part, Hose) and item.part.via]
    return together(even) if even else None


def reroute_lower(plan: Plan) -> Iterator[Action]:
    """Runs in which air costs head, routed lower: each by itself, or all if none suffices.

    If none of this does, as over many frames, they are led evenly.
    """
    yield from _led(plan, without_high_points) or _led(plan, led_evenly)


def evenly_led(context: Context) -> Iterator[Action]:
    """All runs in which air costs head led evenly, whether or not that is enough."""
    even = [change for run in _runs(context) if (change := led_evenly(context.job, run))]
    if even:
        yield together(even)


def _led(plan: Plan, led: Callable[[Job, tuple[Located, ...]], Action | None]) -> list[Action]:
    """The changes of single runs that cure, or else of all of them together."""
    changes = [change for run in _runs(plan.context) if (change := led(plan.context.job, run))]
    enough = list(plan.that_cure(changes))
    if not enough and len(changes) > 1 and plan.cures(*changes):
        enough = [plan.followed_by(*changes)]
    return enough


def _runs(context: Context) -> list[tuple[Located, ...]]:
    """The runs of hose in which air costs head: at the high point, and at the low one after it."""
    network, job = context.network, context.job
    legs = [leg for leg in context.point.legs if leg.head_taken > 0]
    air = dict.fromkeys([leg.from_part for leg in legs] + [leg.to_part for leg in legs])
    places = (context.addresses[index] for index in map(network.places.index, air))
    return list(dict.fromkeys(hose_run(job, at) for at in places))
