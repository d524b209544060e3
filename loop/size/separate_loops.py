"""One pump per unit: each unit's run as a separate loop, with its own intake and hoses."""

from collections.abc import Iterator, Sequence

from pydantic import ValidationError

from loop.job import Job
from loop.parts import Condenser, Discharge, Manifold, Part, Seacock
from loop.size.fit_choice import with_choice, with_parts
from loop.size.option_search import OptionSearch
from loop.size.processes import Asked
from loop.size.pump_search import search_pumps
from loop.size.result import SeparateLoop
from loop.size.rules import Rules


def separate_loops(rules: Rules) -> tuple[Asked[SeparateLoop], ...]:
    """The best option for each unit on its own run and pump; empty if `separate_jobs` is empty."""
    return tuple(rules.ask(best_alone, one, long=True) for one in separate_jobs(rules.job))


def best_alone(rules: Rules, job: Job) -> SeparateLoop:
    """The best option of a `separate_jobs` with the chance that the job requires."""
    own = Rules(job, rules.chances)
    shortlist = search_pumps(OptionSearch(own), list_all_up_to=0, detailed=False)
    options = shortlist.best_first()
    likely = (one for one in options if own.likely_enough(with_choice(job, one.choice)))
    return SeparateLoop(job.condenser[0].name, next(likely, None))


def separate_jobs(job: Job) -> tuple[Job, ...]:
    """A job for each unit: the path of its water through the shared loop, and that unit alone.

    Every run has everything on the shared line at full length, intake and strainer included; valves
    that throttle a branch for balance are open. Empty for a single unit, or if a run cannot stand
    alone as it is routed.
    """
    if len(job.condenser) < 2:
        return ()
    try:
        return tuple(_separate_job(job, unit.name) for unit in job.condenser)
    except ValidationError:
        return ()


def _separate_job(job: Job, name: str) -> Job:
    unit = tuple(one for one in job.condenser if one.name == name)
    return with_parts(job, tuple(_parts_to_unit(job.part, name)), condenser=unit)


def _parts_to_unit(parts: Sequence[Part], name: str) -> Iterator[Part]:
    """The parts that a unit's water passes, up to where it leaves the boat."""
    for part in parts:
        if isinstance(part, Manifold):
            branch = next(
                (branch for branch in part.branch if _has_condenser(branch.part, name)), None
            )
            inside = (
                tuple(_opened(inner) for inner in _parts_to_unit(branch.part, name))
                if branch
                else ()
            )
            yield from inside
            if inside and isinstance(inside[-1], Discharge):
                return
        elif not isinstance(part, Condenser) or part.serves == name:
            yield part


def _opened(part: Part) -> Part:
    return part.model_copy(update={"open": 1.0}) if isinstance(part, Seacock) else part


def _has_condenser(parts: Sequence[Part], name: str) -> bool:
    """Whether one of the parts, or of those in branches, is the unit's condenser."""
    return any(
        any(_has_condenser(branch.part, name) for branch in part.branch)
        if isinstance(part, Manifold)
        else isinstance(part, Condenser) and part.serves == name
        for part in parts
    )
