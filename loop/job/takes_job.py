"""What a function that takes a job says of anything else that it is given."""

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
    """A public function whose first argument, or that named ``job``, is a job.

    Raises JobError where it is not: the path of a file is what is given most.
    """

    @wraps(function)
    def with_job(*args: P.args, **kwargs: P.kwargs) -> R:
        for given in args[:1] or [kwargs[name] for name in ("job",) if name in kwargs]:
            if not isinstance(given, Job):
                raise JobError([not_a_job(function.__name__, given)])
        return function(*args, **kwargs)

    return with_job


def not_a_job(function: str, given: object) -> str:
    """What is said of something that is no job."""
    path = str(given) if isinstance(given, str | Path) else "boat.toml"
    return wrong("not-a-job", function=function, path=path, kind=type(given).__name__)
