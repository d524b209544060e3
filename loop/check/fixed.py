"""A loop put right: the first action of each danger and fault, of each warning, then bleeds."""

from collections.abc import Sequence

from loop.check.judge import Checking
from loop.check.result import CheckResult
from loop.check.trials import MOST_EFFORT
from loop.check.work import work
from loop.hydraulics.effort import effort
from loop.records import dataclass
from loop.words import Action, Finding, Level
from loop.words.actions import FitBleed

# Actions that are done one after the other, at the most, and steps of the solver that are spent on
# finding them: with what other checks of the loops take, the time is bounded whatever the job. Two
# units with five things wrong take 3,000.
_MOST, _EFFORT = 8, 4000.0

# The gravest are put right first, the others only where nothing graver is left.
_GRAVE: tuple[Level, ...] = ("danger", "fault")
_LIGHT: tuple[Level, ...] = ("warning", "note")


@dataclass(frozen=True)
class Change:
    """An action on a loop as it then stands, and the finding that it cures."""

    before: CheckResult
    finding: Finding
    action: Action


@dataclass(frozen=True)
class Fixed:
    """A loop as fixed, and the changes that it takes, in their order; none where it is sound.

    ``whole`` says whether neither danger nor fault is left: of some no action is known.
    """

    result: CheckResult
    changes: tuple[Change, ...]
    whole: bool


def as_fixed(result: CheckResult) -> Fixed:
    """The loop after the first action of its gravest finding, and so on, the warnings last.

    Each action was tried on the whole loop, so that every change leaves fewer dangers, or no more
    dangers and fewer faults, or fewer warnings and nothing graver. Of notes only those that ask
    for a bleed are put right: fitted before the start, it lets out air, and the flow changes.

    Where the first of all leaves a warning to be seen to, the second way is followed too, and what
    is less work in the end is taken: what must be bought for that warning counts.
    """
    finding = _next(result)
    if finding is None:
        return Fixed(result, (), not _of(result, _GRAVE))
    brings, until = finding.values.get("brings"), effort() + _EFFORT
    leaves = isinstance(brings, tuple) and bool(brings[0])
    ways = finding.actions[: 2 if leaves else 1]
    paths = [_followed(Change(result, finding, way), until) for way in ways]
    path = min(paths, key=_cost)
    result = path.checking.whole()
    return Fixed(result, path.changes, not _of(result, _GRAVE))


@dataclass(frozen=True)
class _Path:
    """Changes in their order, and the loop after them, not yet asked for all its actions."""

    changes: tuple[Change, ...]
    checking: Checking
    result: CheckResult


def _followed(first: Change, until: float) -> _Path:
    """A first change, and those that its loop then asks for."""
    changes, checking = [first], Checking(first.action.apply(first.before.job), effort=_left(until))
    result = _first_cure(checking)
    while len(changes) < _MOST and effort() < until and (finding := _next(result)) is not None:
        changes.append(Change(result, finding, finding.actions[0]))
        checking = checking.after(finding.actions[0], _left(until))
        result = _first_cure(checking)
    return _Path(tuple(changes), checking, result)


def _left(until: float) -> float:
    return min(until - effort(), MOST_EFFORT)


def _cost(path: _Path) -> tuple[int, int, int]:
    """What is left that is grave, what that is a warning, and the work of the whole path."""
    each = (work(change.before.job, change.action) for change in path.changes)
    return len(_of(path.result, _GRAVE)), len(_of(path.result, ("warning",))), sum(each)


def _next(result: CheckResult) -> Finding | None:
    """The finding that is put right next; None where none is."""
    return next((one for one in _worst(result) if _changes_loop(one)), None)


def _first_cure(checking: Checking) -> CheckResult:
    """The result that looks no further than the first action that is to be done."""
    grave = bool(_of(checking.plain(), _GRAVE))
    return checking.first_cure(_GRAVE if grave else _LIGHT, _changes_loop)


def _worst(result: CheckResult) -> list[Finding]:
    """The dangers and faults; where there are none, what is lighter."""
    return _of(result, _GRAVE) or _of(result, _LIGHT)


def _of(result: CheckResult, levels: Sequence[Level]) -> list[Finding]:
    return [one for one in result.findings if one.level in levels]


def _changes_loop(finding: Finding) -> bool:
    """Whether its first action is one to be done before the loop is as fixed."""
    steps = [step for action in finding.actions[:1] for step in action.steps]
    if finding.level == "note":
        return any(isinstance(step, FitBleed) for step in steps)
    return bool(steps)
