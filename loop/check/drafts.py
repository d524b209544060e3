"""Drafts of findings: what is wrong, and candidate cures."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import field
from functools import cached_property

from loop.records import dataclass
from loop.words import Action, Finding, Level, Place, Value

Candidates = Callable[[], Iterable[Action]]


def fixed_candidates(*actions: Action) -> Candidates:
    """These candidates only."""
    return lambda: actions


# No candidates: the fix is given in words alone.
NO_CANDIDATES = fixed_candidates()


@dataclass(frozen=True)
class Draft:
    """The content of a finding, and a function that gives candidate cures, best first.

    Candidates are not yet tried on the whole loop. ``solved_values`` gives values that need
    solving, for findings that are shown. ``offer_count`` gives how many working candidates to keep;
    it is called only when candidates are.
    """

    code: str
    level: Level
    at: Place
    values: Mapping[str, Value]
    candidates: Candidates = field(default=NO_CANDIDATES, repr=False)
    basis: tuple[str, ...] = ()
    offer_count: Callable[[], int] = field(default=lambda: 2, repr=False)
    solved_values: Callable[[], Mapping[str, Value]] = field(default=dict, repr=False)

    @cached_property
    def finding(self) -> Finding:
        """The finding without its actions."""
        values = {**self.values, **self.solved_values()}
        return Finding(self.code, self.level, self.at, values, (), self.basis)


def draft(
    code: str,
    level: Level,
    at: Place,
    values: Mapping[str, Value | None],
    candidates: Candidates | None = None,
    *,
    basis: tuple[str, ...] = (),
    offer_count: Callable[[], int] = lambda: 2,
    solved_values: Callable[[], Mapping[str, Value]] = dict,
) -> Draft:
    """A draft; values that are None are dropped, and ``basis`` replaces the code's own."""
    given = {name: value for name, value in values.items() if value is not None}
    return Draft(
        code, level, at, given, candidates or NO_CANDIDATES, basis, offer_count, solved_values
    )
