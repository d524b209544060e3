"""One pump per unit: each unit's run as a separate loop, with its own intake and hoses."""

from collections.abc import Iterator, Sequence

from pydantic import ValidationError

from loop.job import Job
from loop.parts import Condenser, Discharge, Manifold, Part, Seacock
from loop.size.describe import described
from loop.size.fitting import applied, with_parts
from loop.size.progress import Step
from loop.size.pump_search import searched
from loop.size.rank import ranked
from loop.size.result import Apart
from loop.size.rules import Rules
from loop.size.search import Search
from loop.size.study import Odds


def apart(job: Job, odds: Odds, step: Step = lambda: None) -> tuple[Apart, ...]:
    """The best option for each unit on its own run and pump; empty if `each_alone` is empty.

    Only options with the chance that the job requires. `step` is called once per unit.
    """
    found = []
    for alone in each_alone(job):
        step()
        rules = Rules(alone, odds)
        search = Search(alone, rules)
        candidates, _ = searched(alone, search, lambda: None, few=0)
        passing = [one for one in candidates if one.passes]
        options = ranked([described(alone, search, one, whole=False) for one in passing])
        likely = (one for one in options if rules.likely(applied(alone, one.choice)))
        found.append(Apart(alone.condenser[0].name, next(likely, None)))
    return tuple(found)


def each_alone(job: Job) -> tuple[Job, ...]:
    """A job for each unit: the path of its water through the shared loop, and that unit alone.

    Every run has everything on the shared line at full length, intake and strainer included; valves
    that throttle a branch for balance are open. Empty for a single unit, or if a run cannot stand
    alone as it is routed.
    """
    if len(job.condenser) < 2:
        return ()
    try:
        return tuple(_alone(job, unit.name) for unit in job.condenser)
    except ValidationError:
        return ()


def _alone(job: Job, name: str) -> Job:
    unit = tuple(one for one in job.condenser if one.name == name)
    return with_parts(job, tuple(_way(job.part, name)), condenser=unit)


def _way(parts: Sequence[Part], name: str) -> Iterator[Part]:
    """The parts that a unit's water passes, up to where it leaves the boat."""
    for part in parts:
        if isinstance(part, Manifold):
            way = next((way for way in part.branch if _serves(way.part, name)), None)
            inside = tuple(_open(inner) for inner in _way(way.part, name)) if way else ()
            yield from inside
            if inside and isinstance(inside[-1], Discharge):
                return
        elif not isinstance(part, Condenser) or part.serves == name:
            yield part


def _open(part: Part) -> Part:
    return part.model_copy(update={"open": 1.0}) if isinstance(part, Seacock) else part


def _serves(parts: Sequence[Part], name: str) -> bool:
    """Whether one of the parts, or of those in branches, is the unit's condenser."""
    return any(
        any(_serves(way.part, name) for way in part.branch)
        if isinstance(part, Manifold)
        else isinstance(part, Condenser) and part.serves == name
        for part in parts
    )
