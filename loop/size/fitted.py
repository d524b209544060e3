"""A choice written into a job: what of its file changes."""

from collections.abc import Iterator

from loop.job import Edit, Job, Put, locate
from loop.pumps import catalogue
from loop.size.options import Choice, applied


def edits(job: Job, choice: Choice) -> tuple[Edit, ...]:
    """The edits that fit a choice; every part keeps its place and its other values."""
    return tuple(_edits(job, applied(job, choice)))


def _edits(job: Job, new: Job) -> Iterator[Edit]:
    for old, now in zip(locate(job.part), locate(new.part), strict=True):
        for name in type(old.part).model_fields:
            value = getattr(now.part, name)
            if name in ("branch", "guessed") or value == getattr(old.part, name):
                continue
            if name == "curve" and value.name in catalogue():
                value = value.name
            yield Put(f"{old.address}.{name}", value)
