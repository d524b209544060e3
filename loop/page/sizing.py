"""A sizing for the page: the options as text, and the edits that fit each one."""

import math
from collections.abc import Callable, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from loop.job import Job, Put, locate
from loop.pumps import PumpCurve
from loop.words.size_report import SAY

if TYPE_CHECKING:
    from loop.size import Change

# Options shown on screen; `loop size --all` prints all of them.
_SHOWN = 10


def sizing_tables(job: Job, progress: Callable[[int, int], None]) -> dict[str, Any]:
    """Choice, runner-up and reasons, sections of the report, and the best options; flows in SI.

    Each option, and the smallest change, has the edits that fit it; none if its pump has no name to
    write. Raises JobError if the job's ``[sizing]`` leaves nothing to choose.
    """
    from loop.size import size
    from loop.size.fit_choice import with_choice
    from loop.size.sections import sections
    from loop.size.words import option_name
    from loop.words.chance import chance

    result = size(job, progress=progress)
    units, runner_up = job.units, result.runner_up
    return {
        "passes": result.choice is not None,
        "why": list(result.why),
        "sections": [
            asdict(one) | {"edits": _least(job, result.least_change) if one.of == "least" else []}
            for one in sections(result)
        ],
        "service": f"{SAY('service-title')}: {', '.join(result.service)}.",
        "runner_up": ""
        if runner_up is None
        else f"{option_name(result.options[runner_up], units)}. {result.prefer_runner_up}",
        "options": [
            {
                "name": option_name(option, units),
                "as_is": option.as_is,
                "passes": option.passes,
                "flow": option.flow,
                "chance": chance(option.chance) if math.isfinite(option.chance) else "",
                "power": option.power if math.isfinite(option.power) else None,
                "reasons": list(option.said),
                "edits": _edits(job, with_choice(result.cared, option.choice)),
            }
            for option in result.options[:_SHOWN]
        ],
    }


def _least(job: Job, changes: Sequence["Change"]) -> list[dict[str, Any]]:
    """The edits of the smallest set of changes that fixes the loop; none if no set does."""
    if not changes or not changes[-1].passes:
        return []
    after = job
    for change in changes:
        after = change.action.apply(after)
    return _edits(job, after)


def _edits(before: Job, after: Job) -> list[dict[str, Any]]:
    """The edits between two jobs in the page's format.

    None if the kinds of parts differ, or if a pump has no name to write.
    """
    from loop.size.fit_choice import edits_between

    kinds = [[item.part.kind for item in locate(job.part)] for job in (before, after)]
    if kinds[0] != kinds[1]:
        return []
    puts = [edit for edit in edits_between(before, after) if isinstance(edit, Put)]
    if any(isinstance(put.value, PumpCurve) for put in puts):
        return []
    return [{"do": "put", "address": put.address, "value": put.value} for put in puts]
