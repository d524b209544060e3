"""Why a sizing's smallest change differs from what a check of the loop offers first."""

from collections.abc import Sequence

from loop.check.judge import IncrementalCheck
from loop.size.result import Change
from loop.size.rules import GRAVE, Rules
from loop.size.words import as_new_words
from loop.words import Finding
from loop.words.action_words import action_text
from loop.words.actions import Action, together
from loop.words.size_report import SAY
from loop.words.speaker import Speaker


def first_fix(rules: Rules) -> Action | None:
    """The first action that a check of the job as found offers for what sizes may cure."""

    def is_cured(one: Finding) -> bool:
        return bool(one.actions) and not rules.is_aside(one)

    wrong = IncrementalCheck(rules.as_found).first_cure(GRAVE, is_cured)
    return next((one.actions[0] for one in wrong.findings if is_cured(one)), None)


def first_fix_difference(rules: Rules, changes: Sequence[Change]) -> str:
    """The first action that a check offers and what it leaves wrong, as a sentence.

    "" if it is the smallest change itself, or leaves nothing wrong by the rules of the options:
    then either will do.
    """
    if not changes or not changes[-1].passes:
        return ""
    action = rules.ask_once(first_fix, long=True)()
    if action is None:
        return ""
    job = rules.as_found
    done = action.apply(job)
    if done == together(change.action for change in changes).apply(job):
        return ""
    fix, judged = action_text(action, Speaker(job)), rules.judge(done)
    if judged.said or not rules.likely_enough(done):
        reason = judged.said[0] if judged.said else SAY("least-too-unsure")
        return SAY("least-not-first", fix=fix, reason=reason.rstrip("."))
    as_new = rules.as_new(done, may_wait=True)[1]
    return SAY("least-not-first-new", fix=fix, found=as_new_words(as_new)) if as_new else ""
