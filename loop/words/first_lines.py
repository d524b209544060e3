"""The first lines of an answer: cause and fix of the gravest finding."""

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

# Most messages of one finding that a first line gives.
_MESSAGES = 2
_LIKE = "{message} (and {count} more like it)"
_OTHERS = "; the others have fixes of their own"
# Findings that doubt a figure in the file: check it before buying a pump or a strainer for it;
# where nothing helps, check it alone.
_DOUBTED = (
    "need-doubtful",
    "bore-doubtful",
    "loss-doubtful",
    "pump-doubtful",
    "baseline-doubtful",
)
_FIRST = "{check}; if the file is right, {fix}"
# What moves a boat, by its key in the file.
MOVES = {"heel": "heel", "trim": "trim", "wave_height": "waves"}
# What else a file leaves unstated, by the code of the note that asks for it.
ASKED = {"place-unstated": "where parts lie"}


@dataclass(frozen=True)
class FirstLines:
    """Cause and fix of the gravest finding, uncapitalized, no period; ``more`` counts the rest."""

    cause: str
    fix: str
    more: int


def first_lines(findings: Iterable[Finding], job: Job) -> FirstLines | None:
    """First lines of findings as `check` orders them; None if there are only notes."""
    serious = groups([one for one in findings if one.level != "note"], job)
    if not serious:
        return None
    fix = _fix(serious[0], Speaker(job))
    doubted = [one for one in serious[1:] if one.code in _DOUBTED]
    if doubted:
        check = _fix(doubted[0], Speaker(job))
        if _buys(serious[0]):
            fix = _FIRST.format(check=check, fix=fix)
        elif "in-vain" in str(serious[0].alike[0].values.get("case", "")):
            fix = check
    return FirstLines(_cause(serious[0]), fix, len(serious) - 1)


def all_well(findings: Iterable[Finding], job: Job) -> str:
    """The sentence in their place if there are only notes."""
    unsaid = [name for key, name in MOVES.items() if key not in job.boat.model_fields_set]
    codes = {one.code for one in findings}
    unsaid += [name for code, name in ASKED.items() if code in codes]
    if not unsaid:
        return SAY("good")
    return SAY("good-unsaid", unsaid=listed(unsaid, "or"))


def _cause(group: FindingGroup) -> str:
    """All messages, or the first where they would be long."""
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
    """The first fix, in brief."""
    if not group.first:
        return group.always
    first, *others = group.first
    if first.action is not None:
        first = replace(first, text=action_text(first.action, speaker, brief=True))
    return ways_text(group.always, [first.whole + (_OTHERS if others else "")])
