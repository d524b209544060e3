"""Checks of the examples, each made once for all tests of a run that read them."""

from functools import cache
from pathlib import Path

from loop.check import CheckResult, check
from loop.job import read_job


@cache
def checked(path: Path, units: str | None = None) -> CheckResult:
    """The check of a job's file, with its fixes; frozen, so that tests can share it.

    In the file's own units unless others are given.
    """
    job = read_job(path)
    return check(job if units in (None, job.units) else job.model_copy(update={"units": units}))
