"""Checks of the examples, each made once for all the tests of a run that read them."""

from functools import cache
from pathlib import Path

from loop.check import CheckResult, check
from loop.job import read_job


@cache
def checked(path: Path) -> CheckResult:
    """The check of a job's file, with what would fix it; frozen, so that tests may share it."""
    return check(read_job(path))
