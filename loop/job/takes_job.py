"""Error of a function that takes a job when given anything else."""

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

from loop.job.model import Job
from loop.mistakes import JobError
from loop.wrong import wrong

P = ParamSpec("P")
R = TypeVar("R")


def takes_job(function: Callable[P, R]) -> Callable[P, R]:
    """Decorator of a public function whose first argument, or that named ``job``, is a job.

    The function raises JobError for anything else; the path of a file is the most common.
    """

    @wraps(function)
    def with_job(*args: P.args, **kwargs: P.kwargs) -> R:
        for value in args[:1] or [kwargs[name] for name in ("job",) if name in kwargs]:
            if not isinstance(value, Job):
                raise JobError([not_a_job(function.__name__, value)])
        return function(*args, **kwargs)

    return with_job


def not_a_job(function: str, given: object) -> str:
    """Message about an argument that is not a job."""
    path = str(given) if isinstance(given, str | Path) else "boat.toml"
    return wrong("not-a-job", function=function, path=path, kind=type(given).__name__)
