"""The loop after an action: new and worsened findings, judged only as far as needed."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass as mutable_dataclass
from dataclasses import field
from functools import cached_property

from loop.check.context import Context
from loop.check.drafts import Draft
from loop.check.too_fast import BEFORE_PUMP, is_faster, limited_speed
from loop.words import Finding, Level, Place
from loop.words.finding import graver
from loop.words.moved import Moves

# Distance along a hose [m] within which places count as one.
_SAME_PLACE = 1e-3
# Findings about the whole loop that are placed at its worst point: if another point is the worst
# after an action, it was as bad before.
_AT_WORST = frozenset({"branch-shut", "suction-dry"})

# Doubts about figures in the file. One may be a note until the fixed loop depends on the figure, so
# no action counts as causing it.
_FILE_DOUBTS = frozenset({"bore-doubtful", "loss-doubtful"})

# Yields the draft findings of a context, of the levels given only.
Judge = Callable[[Context, Sequence[Level]], Iterable[Draft]]


@mutable_dataclass
class Outcome:
    """The loop after an action, judged level by level as far as needed."""

    context: Context
    moves: Moves
    judge: Judge
    before: Sequence[Finding]
    inlet_head: float  # total head at the pump inlet before the action [m]
    found: dict[Level, tuple[Draft, ...]] = field(default_factory=dict)

    @cached_property
    def earlier(self) -> dict[tuple[str | None, ...], list[tuple[Finding, Place]]]:
        """Findings before the action with their new places, by code and part, unit and branch."""
        found: dict[tuple[str | None, ...], list[tuple[Finding, Place]]] = {}
        for old in self.before:
            here = self.moves.of_place(old.at)
            if here is not None:
                found.setdefault(_key(old, here), []).append((old, here))
        return found

    def is_new(self, one: Draft) -> bool:
        """Whether a finding was not there before at the same or a graver level."""
        return not any(
            same_finding(one, old, here)
            and (
                graver(old.level, one.level)
                or one.code in _FILE_DOUBTS
                or self._suction_loss_fell(one)
            )
            for old, here in self.earlier.get(_key(one, one.at), ())
        )

    def is_rest_of_shortage(self, one: Draft) -> bool:
        """Whether it is too little margin of a unit that did not even have its flow before."""
        return one.code == "flow-marginal" and any(
            old.code == "flow-short" and old.at.unit == one.at.unit for old in self.before
        )

    def is_worse(self, one: Draft) -> bool:
        """Whether a finding was there before, and its water is now faster still."""
        return not self._suction_loss_fell(one) and any(
            same_finding(one, old, here)
            and is_faster(limited_speed(one.values), limited_speed(old.values))
            for old, here in self.earlier.get(_key(one, one.at), ())
        )

    def _suction_loss_fell(self, one: Draft) -> bool:
        """Whether it concerns head lost before the pump, and that loss has decreased."""
        return (
            one.code in BEFORE_PUMP and self.context.point.pump_inlet.total_head > self.inlet_head
        )

    def findings(self, levels: Sequence[Level]) -> Iterator[Draft]:
        """The findings of these levels, one by one as they are found."""
        yield from (one for level in levels for one in self.found.get(level, ()))
        missing = [level for level in levels if level not in self.found]
        if missing:
            found = []
            for one in self.judge(self.context, missing):
                found.append(one)
                yield one
            for level in missing:
                self.found[level] = tuple(one for one in found if one.level == level)


def _key(one: Draft | Finding, at: Place) -> tuple[str | None, ...]:
    return (one.code,) if one.code in _AT_WORST else (one.code, at.part, at.unit, at.branch)


def same_finding(one: Draft, old: Finding, here: Place | None) -> bool:
    """Whether a finding is an old one, whose place is now `here`; None if the place is gone."""
    if here is None or one.code != old.code:
        return False
    if one.code in _AT_WORST:
        return one.level == old.level
    at = one.at
    if (at.part, at.unit, at.branch) != (here.part, here.unit, here.branch):
        return False
    if at.along is None or here.along is None:
        return at.along == here.along
    return abs(at.along - here.along) < _SAME_PLACE
