"""Caller's overrides of the job's own ``[sizing]``."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from loop.job import Job, JobError, Sizing
from loop.mistakes import once, why
from loop.pumps import read_pump

# Limit on the files of a folder that are read.
_MAX_FILES = 500


def with_sizing(job: Job, overrides: Mapping[str, str | None]) -> Job:
    """The job with fields of its ``[sizing]`` overridden, as text with units.

    Parameters
    ----------
    job : Job
    overrides : mapping
        Text by field of `loop.job.Sizing`, with commas between several bores or pumps; None keeps
        the job's own. For pumps, a folder stands for all pump files in it.

    Raises
    ------
    JobError
        If a text does not fit its field, one line for each.
    """
    fields: dict[str, Any] = {name: text for name, text in overrides.items() if text is not None}
    for name, text in fields.items():
        if name in ("pumps", "supplies") or name.endswith("bores"):
            fields[name] = [word.strip() for word in text.split(",") if word.strip()]
    if "pumps" in fields:
        fields["pumps"] = [one for word in fields["pumps"] for one in _pumps(word)]
    try:
        checked = Sizing.model_validate(fields, context={"text": True, "folder": "."})
    except ValidationError as error:
        mistakes = once(error.errors(), lambda item: Sizing.model_fields)
        raise JobError([_mistake(one) for one in mistakes]) from None
    new = {name: getattr(checked, name) for name in fields}
    return job.model_copy(update={"sizing": job.sizing.model_copy(update=new)})


def _pumps(word: str) -> list[Any]:
    """A pump by name, or all pumps of a folder; files there that are not pump files are skipped."""
    place = Path(word)
    if not place.is_dir():
        return [word]
    found = []
    for path in sorted(place.glob("*.toml"))[:_MAX_FILES]:
        try:
            found.append(read_pump(path))
        except JobError:
            continue
    return found


def _mistake(item: Any) -> str:
    """A line that names the command's option and what is wrong with it."""
    place = " ".join(str(step + 1) if isinstance(step, int) else step for step in item["loc"])
    return f"--{place.replace('_', '-')}: {why(item, Sizing.model_fields)}"
