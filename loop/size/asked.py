"""What a caller asks of a sizing in place of the job's own ``[sizing]``."""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from loop.job import Job, JobError, Sizing
from loop.mistakes import why


def with_sizing(job: Job, asked: Mapping[str, str | None], folder: str = ".") -> Job:
    """The job with fields of its ``[sizing]`` given anew, as text with units.

    Parameters
    ----------
    job : Job
    asked : mapping
        Text by field of `loop.job.Sizing`, several bores or pumps with commas between; None leaves
        the job's own.
    folder : str
        Where relative paths of pump files start.

    Raises
    ------
    JobError
        Where a text does not fit its field, a line for each.
    """
    given: dict[str, Any] = {name: text for name, text in asked.items() if text is not None}
    for name, text in given.items():
        if name == "pumps" or name.endswith("bores"):
            given[name] = [word.strip() for word in text.split(",") if word.strip()]
    try:
        checked = Sizing.model_validate(given, context={"text": True, "folder": folder})
    except ValidationError as error:
        mistakes = error.errors()
        # A list of which no item is right is also told as empty.
        places = {item["loc"][:1] for item in mistakes if len(item["loc"]) > 1}
        raise JobError([_mistake(one) for one in mistakes if one["loc"] not in places]) from None
    new = {name: getattr(checked, name) for name in given}
    return job.model_copy(update={"sizing": job.sizing.model_copy(update=new)})


def _mistake(item: Any) -> str:
    """A line that names the option of the command and what is wrong with it."""
    place = " ".join(str(step + 1) if isinstance(step, int) else step for step in item["loc"])
    return f"--{place.replace('_', '-')}: {why(item, Sizing.model_fields)}"
