"""How much was calculated: steps of the solver, by whose count a check bounds what it tries.

Counted and not timed, so that one job has one answer, whatever the machine and what else it does.
"""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

# A step on so many numbers (cases times lines) takes twice what one on a single number takes, in
# which calls outweigh the arithmetic; one that takes the tees' slopes as well so many times that.
_NUMBERS, _COUPLED = 900, 4
# What a network of more parts and lines than an ordinary boat has takes before and after its
# solving, above what that of an ordinary one does: steps for each more.
_ORDINARY, _MORE = 100, 0.4

_spent: ContextVar[float] = ContextVar("spent", default=0.0)
_most: ContextVar[float] = ContextVar("most", default=math.inf)


def effort() -> float:
    """Steps that were taken so far, those on many cases counted by what they cost."""
    return _spent.get()


def spend(numbers: int, coupled: bool = False) -> None:
    """Counts one step on so many numbers."""
    steps = 1 + numbers / _NUMBERS
    _spent.set(_spent.get() + (_COUPLED * steps if coupled else steps))


def spend_on_building(size: int) -> None:
    """Counts the making of a network of so many parts and lines, and the looking at it."""
    _spent.set(_spent.get() + _MORE * max(size - _ORDINARY, 0))


@contextmanager
def allowed(most: float) -> Iterator[None]:
    """What is tried in here is to take no more steps than these."""
    before = _most.set(_spent.get() + most)
    try:
        yield
    finally:
        _most.reset(before)


def used_up() -> bool:
    """Whether what is tried has taken the steps that it is allowed."""
    return _spent.get() > _most.get()
