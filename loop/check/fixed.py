"""A loop put right: the first action of each danger and fault, of each warning, then bleeds."""

from collections.abc import Sequence

from loop.check.judge import Checking
from loop.check.result import CheckResult
from loop.check.trials import MOST_EFFORT
from loop.hydraulics.effort import effort
from loop.records import dataclass
from loop.words import Action, Finding, Level
from loop.words.actions import FitBleed

# Actions that are done one after the other, at the most, and steps of the solver that are spent on
# finding them: with what other checks of the loops take, the time is bounded whatever the job.
_MOST, _EFFORT = 8, 1800.0

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
    """
    changes: list[Change] = []
    checking, until = None, effort() + _EFFORT
    while len(changes) < _MOST and effort() < until:
        finding = next((one for one in _worst(result) if _changes_loop(one)), None)
        if finding is None:
            break
        action = finding.actions[0]
        changes.append(Change(result, finding, action))
        left = min(until - effort(), MOST_EFFORT)
        checking = (
            Checking(action.apply(result.job), effort=left)
            if checking is None
            else checking.after(action, left)
        )
        result = _first_cure(checking)
    if checking is not None:
        result = checking.whole()
    return Fixed(result, tuple(changes), not _of(result, _GRAVE))


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
