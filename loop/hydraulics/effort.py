"""Computing effort: counted solver steps, which bound how much a check may try.

Counted rather than timed, so that a job has the same answer on any machine under any load.
"""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

# Problem size (cases times lines) at which a step costs twice one of size 1, where call overhead
# dominates; and the cost factor of a step that includes the tees' slopes.
_NUMBERS, _COUPLED = 900, 4
# Overhead of a large network before and after its solve: equivalent steps for each part or line
# beyond those of an ordinary boat.
_ORDINARY, _MORE = 100, 0.4

_spent: ContextVar[float] = ContextVar("spent", default=0.0)
_most: ContextVar[float] = ContextVar("most", default=math.inf)


def effort() -> float:
    """Equivalent solver steps so far; steps on many cases count by their cost."""
    return _spent.get()


def spend(numbers: int, coupled: bool = False) -> None:
    """Count one solver step on this many numbers (cases times lines)."""
    steps = 1 + numbers / _NUMBERS
    _spent.set(_spent.get() + (_COUPLED * steps if coupled else steps))


def spend_on_building(size: int) -> None:
    """Count the building and examination of a network of this many parts and lines."""
    _spent.set(_spent.get() + _MORE * max(size - _ORDINARY, 0))


@contextmanager
def allowed(most: float) -> Iterator[None]:
    """Context in which trials may use at most this many equivalent steps."""
    before = _most.set(_spent.get() + most)
    try:
        yield
    finally:
        _most.reset(before)


def exhausted() -> bool:
    """Whether the trials have used up the steps that they are allowed."""
    return _spent.get() > _most.get()
