"""How much was solved: steps of the solver, by whose count a check bounds what it tries.

Counted and not timed, so that one job has one answer, whatever the machine and what else it does.
"""

from contextvars import ContextVar

# A step on so many numbers (cases times lines) takes twice what one on a single number takes, in
# which calls outweigh the arithmetic; one that takes the tees' slopes as well so many times that.
_NUMBERS, _COUPLED = 900, 4

_spent: ContextVar[float] = ContextVar("spent", default=0.0)


def effort() -> float:
    """Steps that were taken so far, those on many cases counted by what they cost."""
    return _spent.get()


def spend(numbers: int, coupled: bool = False) -> None:
    """Counts one step on so many numbers."""
    steps = 1 + numbers / _NUMBERS
    _spent.set(_spent.get() + (_COUPLED * steps if coupled else steps))
