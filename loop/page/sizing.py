"""A sizing for the page: the options in words, and the edits by which each is fitted."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from loop.job import Job, Put
from loop.pumps import PumpCurve

if TYPE_CHECKING:
    from loop.size import Choice

# Options that a screen shows; `loop size --all` prints every one.
_SHOWN = 10


def sizing_tables(job: Job, progress: Callable[[int, int], None]) -> dict[str, Any]:
    """Choice, runner-up and why, and the best options; flows in SI.

    Each option has the edits that fit it, none where its pump is known by no name. Raises JobError
    where the job's ``[sizing]`` leaves nothing to choose.
    """
    from loop.size import size
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
                "edits": _edits(job, option.choice),
            }
            for option in result.options[:_SHOWN]
        ],
    }


def _edits(job: Job, choice: "Choice") -> list[dict[str, Any]]:
    """What fits a choice; nothing where its pump is known by no name."""
    from loop.size import edits

    puts = [edit for edit in edits(job, choice) if isinstance(edit, Put)]
    if any(isinstance(put.value, PumpCurve) for put in puts):
        return []
    return [{"do": "put", "address": put.address, "value": put.value} for put in puts]
