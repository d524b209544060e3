"""Inputs needed to reproduce a result: the program's version and the whole job."""

from typing import Any

from typing_extensions import TypedDict

from loop.job.model import Job
from loop.version import program_version as program_version


class Inputs(TypedDict):
    """Common keys of every JSON output.

    ``loop`` is the program's version; ``job`` the job as calculated, without defaults, in SI units
    and °C: ``Job.model_validate`` restores the same job.
    """

    loop: str
    job: dict[str, Any]


def inputs(job: Job) -> Inputs:
    """The inputs of a result calculated from `job`."""
    return {"loop": program_version(), "job": job.model_dump(mode="json", exclude_defaults=True)}
