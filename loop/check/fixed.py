"""A loop with what is grave put right: the first action of each danger and fault, one by one."""

from loop.check.judge import Checking
from loop.check.result import CheckResult
from loop.check.trials import MOST_EFFORT
from loop.hydraulics.effort import effort
from loop.records import dataclass
from loop.words import Action, Finding

# Actions that are done one after the other, at the most, and steps of the solver that are spent on
# finding them: with what other checks of the loops take, the time is bounded whatever the job.
_MOST, _EFFORT = 8, 1800.0


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
    """The loop after the first action of its gravest finding, and so on until none is grave.

    Each action was tried on the whole loop, so that every change leaves fewer dangers, or no more
    dangers and fewer faults.
    """
    changes: list[Change] = []
    checking, until = None, effort() + _EFFORT
    while len(changes) < _MOST and effort() < until:
        curable = (one for one in _grave(result) if one.actions)
        finding = next(curable, None)
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
        result = checking.first_cure()
    if checking is not None:
        result = checking.whole()
    return Fixed(result, tuple(changes), not _grave(result))


def _grave(result: CheckResult) -> list[Finding]:
    return [one for one in result.findings if one.level in ("danger", "fault")]
