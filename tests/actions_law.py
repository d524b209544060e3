"""The law of actions: applied, each removes its finding and causes none as serious.

Nor does it take water from a unit that is already short of it as seriously as what is fixed, and
stays short of it.
"""

from collections.abc import Iterator

from loop.check import CheckResult, check
from loop.words import LEVELS, Action, Finding, Place
from loop.words.moved import Moves

# Findings about the whole loop, wherever they are placed: one may be left as a note.
_OF_ALL = ("branch-shut", "suction-dry")

# A doubt of a figure in the file, a note until a loop as fixed hangs on that figure.
_OF_FILE = ("bore-doubtful", "loss-doubtful")


def breaches(result: CheckResult) -> Iterator[str]:
    """All breaches of the law by the actions that a check offers, and its findings."""
    done: dict[Action, CheckResult] = {}
    for finding in result.findings:
        for action in finding.actions:
            if action not in done:
                done[action] = check(action.apply(result.job), fixes=False)
            yield from _of(result, finding, action, done[action])


def _of(result: CheckResult, finding: Finding, action: Action, after: CheckResult) -> Iterator[str]:
    moves = Moves.of(action, result.job)
    held = [(old, moves.of_place(old.at)) for old in result.findings]
    here = moves.of_place(finding.at)
    for new in after.findings:
        lighter = new.code in _OF_ALL and rank(new) > rank(finding)
        if new.code == finding.code and _one(new, here) and not lighter:
            yield f"{finding.code} at {finding.at} stays with {action}"
        grave = rank(new) <= rank(finding)
        rest = new.code == "flow-marginal" and any(
            old.code == "flow-short" and old.at.unit == new.at.unit for old in result.findings
        )
        known = rest or any(
            old.code == new.code
            and (rank(old) <= rank(new) or new.code in _OF_FILE or _less_lost(result, new, after))
            and _one(new, at)
            for old, at in held
        )
        if grave and not known:
            yield f"{finding.code} at {finding.at}: {action} brings {new.code} at {new.at}"
    if finding.code != "at-rest-short":
        yield from _starved(result, finding, action, after)


def _starved(
    result: CheckResult, finding: Finding, action: Action, after: CheckResult
) -> Iterator[str]:
    left = {unit.name: unit.flow for unit in after.condensers if unit.flow_low < unit.needed_flow}
    for unit in result.condensers:
        short = 1 if unit.flow < unit.needed_flow else 2  # a fault, or a warning
        if (
            unit.flow_low < unit.needed_flow
            and short <= rank(finding)
            and left.get(unit.name, unit.flow) < unit.flow - 0.025 * abs(unit.flow)
        ):
            yield f"{finding.code} at {finding.at}: {action} takes water from {unit.name}"


def _less_lost(result: CheckResult, new: Finding, after: CheckResult) -> bool:
    """Whether water too fast before the pump, where loss is the harm, loses less than before.

    A seacock that is opened lets more flow through its port.
    """
    before, now = (one.point.pump_inlet.total_head for one in (result, after))
    return new.code in ("inlet-fast", "suction-fast") and now > before


def rank(finding: Finding) -> int:
    """0 for the most serious level."""
    return LEVELS.index(finding.level)


def _one(new: Finding, here: Place | None) -> bool:
    """Whether a finding is at a place, except for the last millimeter along a hose.

    A finding about the whole loop has its worst place, wherever that is.
    """
    there = new.at
    if here is not None and new.code in _OF_ALL:
        return True
    if here is None or (here.along is None) != (there.along is None):
        return False
    near = abs((here.along or 0.0) - (there.along or 0.0)) < 0.001
    same = (here.part, here.unit, here.branch) == (there.part, there.unit, there.branch)
    return near and same
