"""Why a sizing's smallest change differs from what a check of the loop offers first."""

from collections.abc import Sequence

from loop.check.judge import IncrementalCheck
from loop.job import Job
from loop.size.result import Change
from loop.size.rules import GRAVE, Rules
from loop.size.words import as_new_words
from loop.words import Finding
from loop.words.action_words import action_text
from loop.words.actions import together
from loop.words.size_report import SAY
from loop.words.speaker import Speaker


def first_fix_difference(job: Job, rules: Rules, changes: Sequence[Change]) -> str:
    """The first action that a check of the job offers and what it leaves wrong, as a sentence.

    "" if it is the smallest change itself, or leaves nothing wrong by the rules of the options:
    then either will do.
    """
    if not changes or not changes[-1].passes:
        return ""

    def is_cured(one: Finding) -> bool:
        return bool(one.actions) and not rules.is_aside(one)

    wrong = IncrementalCheck(job).first_cure(GRAVE, is_cured)
    action = next((one.actions[0] for one in wrong.findings if is_cured(one)), None)
    if action is None:
        return ""
    done = action.apply(job)
    if done == together(change.action for change in changes).apply(job):
        return ""
    fix, judged = action_text(action, Speaker(job)), rules.judge(done)
    if judged.said or not rules.likely_enough(done):
        reason = judged.said[0] if judged.said else SAY("least-too-unsure")
        return SAY("least-not-first", fix=fix, reason=reason.rstrip("."))
    as_new = rules.as_new(done, may_wait=True)[1]
    return SAY("least-not-first-new", fix=fix, found=as_new_words(as_new)) if as_new else ""
