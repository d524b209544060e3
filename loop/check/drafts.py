"""Findings in the making: what is wrong, and what might cure it."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import field
from functools import cached_property

from loop.records import dataclass
from loop.words import Action, Finding, Level, Place, Value

Candidates = Callable[[], Iterable[Action]]


def just(*actions: Action) -> Candidates:
    """These candidates and no others."""
    return lambda: actions


# Where nothing is looked for: what to do is said in words alone.
NONE = just()


@dataclass(frozen=True)
class Draft:
    """What a finding is made of, and a function that gives what might cure it, best first.

    Candidates are not yet tried on the whole loop. ``more`` gives values that take solving: only
    where the finding is shown. ``asked`` gives how many of the candidates that hold are kept; it is
    asked only where candidates are.
    """

    code: str
    level: Level
    at: Place
    values: Mapping[str, Value]
    candidates: Candidates = field(default=NONE, repr=False)
    basis: tuple[str, ...] = ()
    asked: Callable[[], int] = field(default=lambda: 2, repr=False)
    more: Callable[[], Mapping[str, Value]] = field(default=dict, repr=False)

    @cached_property
    def finding(self) -> Finding:
        """The finding, without its actions."""
        values = {**self.values, **self.more()}
        return Finding(self.code, self.level, self.at, values, (), self.basis)


def draft(
    code: str,
    level: Level,
    at: Place,
    values: Mapping[str, Value | None],
    candidates: Candidates | None = None,
    *,
    basis: tuple[str, ...] = (),
    asked: Callable[[], int] = lambda: 2,
    more: Callable[[], Mapping[str, Value]] = dict,
) -> Draft:
    """A draft; values that are None are left out, and ``basis`` stands in for the code's own."""
    given = {name: value for name, value in values.items() if value is not None}
    return Draft(code, level, at, given, candidates or NONE, basis, asked, more)
