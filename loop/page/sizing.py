"""A sizing for the page: the options in words, and the edits by which each is fitted."""

from collections.abc import Callable, Iterator
from typing import Any

from loop.catalogue import catalogue
from loop.job import Job, Put, locate
from loop.parts import Pump

# Options that a screen shows; `loop size --all` prints every one.
_SHOWN = 10


def sizing_tables(job: Job, progress: Callable[[int, int], None]) -> dict[str, Any]:
    """Choice, runner-up and why, and the best options; flows in SI.

    Each option has the edits that fit it, none where its pump is known by no name. Raises JobError
    where the job's ``[sizing]`` leaves nothing to choose.
    """
    from loop.size import size
    from loop.size.options import applied
    from loop.size.words import name

    result = size(job, progress=progress)
    units, runner_up = job.units, result.runner_up
    return {
        "passes": result.choice is not None,
        "why": list(result.why),
        "runner_up": ""
        if runner_up is None
        else f"{name(result.options[runner_up], units)}. {result.prefer_runner_up}",
        "options": [
            {
                "name": name(option, units),
                "as_is": option.as_is,
                "passes": option.passes,
                "flow": option.flow,
                "reasons": [reason.text for reason in option.reasons],
                "edits": [
                    {"do": "put", "address": edit.address, "value": edit.value}
                    for edit in _puts(job, applied(job, option.choice))
                ],
            }
            for option in result.options[:_SHOWN]
        ],
    }


def _puts(before: Job, after: Job) -> Iterator[Put]:
    """What makes one job of another that has the same parts, in other sizes."""
    for old, new in zip(locate(before.part), locate(after.part), strict=True):
        for name in type(old.part).model_fields:
            value = getattr(new.part, name)
            if name == "branch" or value == getattr(old.part, name):
                continue
            if isinstance(new.part, Pump) and name == "curve":
                if value.name not in catalogue():
                    return
                value = value.name
            yield Put(f"{old.address}.{name}", value)
