"""What it takes to have a result again: the program's version and the whole job."""

from typing import Any

from typing_extensions import TypedDict

from loop.job.model import Job
from loop.version import program_version as program_version


class Inputs(TypedDict):
    """Stands at the head of every JSON output.

    ``loop`` is the program's version; ``job`` the job as it was calculated, defaults left out, in
    SI and °C: ``Job.model_validate`` makes the same job of it.
    """

    loop: str
    job: dict[str, Any]


def inputs(job: Job) -> Inputs:
    """The inputs of a result that was computed from `job`."""
    return {"loop": program_version(), "job": job.model_dump(mode="json", exclude_defaults=True)}
