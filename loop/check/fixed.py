"""A loop as fixed: first actions for dangers and faults, then for warnings, then bleeds."""

from collections.abc import Sequence

from loop.check.judge import IncrementalCheck
from loop.check.result import CheckResult
from loop.check.trials import MOST_EFFORT
from loop.check.work import work
from loop.hydraulics.effort import effort
from loop.records import dataclass
from loop.words import Action, Finding, Level
from loop.words.actions import FitBleed

# Limits on the actions in a row, and on the solver steps spent finding them: with the other checks
# of the loops, the time is bounded for any job. Two units with five things wrong take 3,000.
_MOST, _EFFORT = 8, 4000.0

# The gravest are fixed first, the others only once nothing graver is left.
_GRAVE: tuple[Level, ...] = ("danger", "fault")
_LIGHT: tuple[Level, ...] = ("warning", "note")


@dataclass(frozen=True)
class Change:
    """An action on a loop as it stands at that point, and the finding that it cures."""

    before: CheckResult
    finding: Finding
    action: Action


@dataclass(frozen=True)
class Fixed:
    """A loop as fixed, and the changes it takes, in order; none for a sound loop.

    ``whole``: no danger or fault is left. Some have no known action.
    """

    result: CheckResult
    changes: tuple[Change, ...]
    whole: bool


def as_fixed(result: CheckResult) -> Fixed:
    """Apply the first action of the gravest finding, and repeat, warnings last.

    Each action was tried on the whole loop, so every change leaves fewer dangers, or no more
    dangers and fewer faults, or fewer warnings and nothing graver. Of notes, only those that ask
    for a bleed are acted on: fitted before the start, it lets out air, which changes the flow.

    If the very first action leaves a new warning, the finding's second action is followed too, and
    the path with the least total work is taken: purchases for that warning count.
    """
    finding = _next(result)
    if finding is None:
        return Fixed(result, (), not _of_levels(result, _GRAVE))
    brings, until = finding.values.get("brings"), effort() + _EFFORT
    leaves = isinstance(brings, tuple) and bool(brings[0])
    actions = finding.actions[: 2 if leaves else 1]
    paths = [_follow(Change(result, finding, action), until) for action in actions]
    path = min(paths, key=_cost)
    result = path.checking.with_all_actions()
    return Fixed(result, path.changes, not _of_levels(result, _GRAVE))


@dataclass(frozen=True)
class _Path:
    """Changes in order, and the loop after them, not yet searched for all its actions."""

    changes: tuple[Change, ...]
    checking: IncrementalCheck
    result: CheckResult


def _follow(first: Change, until: float) -> _Path:
    """A first change, followed by those that its loop then asks for."""
    changes, checking = (
        [first],
        IncrementalCheck(first.action.apply(first.before.job), effort=_effort_left(until)),
    )
    result = _first_cure(checking)
    while len(changes) < _MOST and effort() < until and (finding := _next(result)) is not None:
        changes.append(Change(result, finding, finding.actions[0]))
        checking = checking.after(finding.actions[0], _effort_left(until))
        result = _first_cure(checking)
    return _Path(tuple(changes), checking, result)


def _effort_left(until: float) -> float:
    return min(until - effort(), MOST_EFFORT)


def _cost(path: _Path) -> tuple[int, int, int]:
    """Remaining dangers and faults, remaining warnings, and the work of the whole path."""
    each = (work(change.before.job, change.action) for change in path.changes)
    return (
        len(_of_levels(path.result, _GRAVE)),
        len(_of_levels(path.result, ("warning",))),
        sum(each),
    )


def _next(result: CheckResult) -> Finding | None:
    """The finding to fix next, or None."""
    return next((one for one in _most_urgent(result) if _changes_loop(one)), None)


def _first_cure(checking: IncrementalCheck) -> CheckResult:
    """The result searched only as far as the first action to be done."""
    grave = bool(_of_levels(checking.result(), _GRAVE))
    return checking.first_cure(_GRAVE if grave else _LIGHT, _changes_loop)


def _most_urgent(result: CheckResult) -> list[Finding]:
    """The dangers and faults; if there are none, the warnings and notes."""
    return _of_levels(result, _GRAVE) or _of_levels(result, _LIGHT)


def _of_levels(result: CheckResult, levels: Sequence[Level]) -> list[Finding]:
    return [one for one in result.findings if one.level in levels]


def _changes_loop(finding: Finding) -> bool:
    """Whether its first action must be done before the loop counts as fixed."""
    steps = [step for action in finding.actions[:1] for step in action.steps]
    if finding.level == "note":
        return any(isinstance(step, FitBleed) for step in steps)
    return bool(steps)
