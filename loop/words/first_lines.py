"""The first lines of an answer: what is wrong, and what to do, of the gravest that is found."""

from collections.abc import Iterable
from dataclasses import replace

from loop.job import Job
from loop.records import dataclass
from loop.words.action_words import action_text
from loop.words.actions import ChangePump, ChangeStrainer, FitPumpRated
from loop.words.check_report import SAY
from loop.words.finding import Finding
from loop.words.grouping import FindingGroup, groups
from loop.words.said import ways_text
from loop.words.speaker import Speaker
from loop.words.template import counted, listed

# Messages of one kind that a first line takes.
_MESSAGES = 2
_LIKE = "{message} (and {count} more like it)"
_OTHERS = "; the others have fixes of their own"
# Findings that doubt a figure in the file, which is looked up before a pump is bought for it, or
# a strainer.
_DOUBTED = (
    "need-doubtful",
    "bore-doubtful",
    "loss-doubtful",
    "pump-doubtful",
    "baseline-doubtful",
)
_FIRST = "{check}; if the file is right, {fix}"
# What moves a boat, by the keys under which a file states it.
MOVES = {"heel": "heel", "trim": "trim", "wave_height": "waves"}
# What else a file leaves unsaid, by the notes that ask for it.
ASKED = {"place-unstated": "where parts lie"}


@dataclass(frozen=True)
class FirstLines:
    """Of the gravest, without capital and full stop; ``more`` counts what else there is."""

    cause: str
    fix: str
    more: int


def first_lines(findings: Iterable[Finding], job: Job) -> FirstLines | None:
    """Of findings as `check` orders them; None where none is more than a note."""
    serious = groups([one for one in findings if one.level != "note"], job)
    if not serious:
        return None
    fix = _fix(serious[0], Speaker(job))
    doubted = [one for one in serious[1:] if one.code in _DOUBTED]
    if doubted and _buys(serious[0]):
        fix = _FIRST.format(check=_fix(doubted[0], Speaker(job)), fix=fix)
    return FirstLines(_cause(serious[0]), fix, len(serious) - 1)


def all_well(findings: Iterable[Finding], job: Job) -> str:
    """What is said in their place where nothing is more than a note."""
    unsaid = [name for key, name in MOVES.items() if key not in job.boat.model_fields_set]
    codes = {one.code for one in findings}
    unsaid += [name for code, name in ASKED.items() if code in codes]
    if not unsaid:
        return SAY("good")
    return SAY("good-unsaid", unsaid=listed(unsaid, "or"))


def _cause(group: FindingGroup) -> str:
    """All that is said, or the first of it where that would be long."""
    first, *more = group.messages
    if len(group.messages) <= _MESSAGES:
        return "; ".join(group.messages)
    return _LIKE.format(message=first, count=counted(len(more)))


def _buys(group: FindingGroup) -> bool:
    return any(
        isinstance(step, ChangePump | ChangeStrainer | FitPumpRated)
        for way in group.first
        if way.action is not None
        for step in way.action.steps
    )


def _fix(group: FindingGroup, speaker: Speaker) -> str:
    """The way to take, in short."""
    if not group.first:
        return group.always
    first, *others = group.first
    if first.action is not None:
        first = replace(first, text=action_text(first.action, speaker, brief=True))
    return ways_text(group.always, [first.whole + (_OTHERS if others else "")])
