"""The first line of an answer: the likeliest cause, or what to do next while nothing leads."""

from collections.abc import Collection
from dataclasses import replace

from loop.diagnose.contradiction import pair_said
from loop.diagnose.faults import HIDING
from loop.diagnose.put_right import OVER
from loop.diagnose.reading_kinds import proves
from loop.diagnose.result import Cause, Diagnosis
from loop.diagnose.shown import named, shown
from loop.diagnose.step_order import LEADS
from loop.units import System
from loop.words.diagnosis import SAY
from loop.words.faults import severity_words
from loop.words.template import capital

SURE = 0.95
# Lines whose odds add up to more than this, as they are rounded, are said to overlap.
OVERLAP = 1.005


def headline(result: Diagnosis) -> str:
    """One line: "Most likely: strainer blocked (87 % of the basket), 62 in 100"."""
    said = _line(result)
    if result.still_wrong:
        read = result.readings.latest.values[result.still_wrong]
        still = f"{named(result.still_wrong)} {shown(result.still_wrong, read, result.job.units)}"
        said = SAY(
            "headline-runs-again", done=result.actions_tried[-1].title, still=still, said=said
        )
    return SAY("headline-hums", said=said) if result.hums else said


def _line(result: Diagnosis) -> str:
    first = result.next[0] if result.next else None
    step = SAY("step-brief", title=first.title, minutes=first.minutes) if first else SAY("no-step")
    if result.readings.empty:
        return SAY("headline-nothing-read", step=step)
    if result.left:
        return _still_to_do(result, step if first else "")
    if result.fixed_by and not result.unread and not result.contradiction:
        row = "headline-done" if result.done else "headline-fixed"
        return SAY(row, done=named(result.fixed_by))
    if result.unread and first and proves(first.reading) and not result.contradiction:
        return SAY("headline-unread", done=named(result.unread), step=step)
    lead = result.causes[0] if result.causes else None
    told = lead is not None and lead.fault != "healthy" and lead.present >= LEADS  # by hearsay
    if result.well and first is None and not (result.hums or told):
        return _built(result, SAY("headline-sound"))
    no_fit = fits_none(result.unknown, bool(result.misfit), lead.present if lead else 0.0)
    again = first is not None and first.reading in result.contradiction
    if result.contradiction and (result.fixed >= OVER or no_fit or again):
        pair = pair_said(result.contradiction, result.readings, result.job.units)
        return SAY("headline-pair", step=step, **pair)
    if no_fit:
        return SAY("headline-no-fit", step=step)
    gone = lead is not None and lead.fault in HIDING and result.still_wrong  # it was that as well
    if lead is None or lead.present < LEADS or gone:
        row = "headline-all-well" if result.well else "headline-none-leads"
        return _built(result, SAY(row, step=step))
    other = result.causes[1] if len(result.causes) > 1 else None
    with_it = other if other is not None and other.present >= LEADS else None
    said = SAY(
        "headline-cause",
        cause=lead.title,
        bad=_how_bad(lead, result.job.units),
        odds=odds(lead.present),
        other=with_it.title if with_it else None,
        other_odds=odds(with_it.present) if with_it else None,
    )
    said = _built(result, said) if lead.fault == "healthy" else said
    return SAY("headline-doubtful", said=said) if result.misfit else said


def _still_to_do(result: Diagnosis, step: str) -> str:
    """A first line where the trouble is over for now, and its cause is there still."""
    left = next(cause for cause in result.causes if cause.fault == result.left)
    return SAY(
        "headline-left" if left.present >= LEADS else "headline-perhaps-left",
        done=named(result.fixed_by),
        cause=left.title,
        odds=odds(left.present),
        then=SAY("left-next", step=step) if step else capital(left.fix),
    )


def _built(result: Diagnosis, said: str) -> str:
    """A first line that names no fault, after what is wrong with the loop without one."""
    return SAY("headline-as-built", built=result.as_built, said=said) if result.as_built else said


def without(result: Diagnosis, skipped: Collection[str]) -> Diagnosis:
    """The answer with no step that the person passed over, in its first line neither."""
    left = replace(result, next=tuple(one for one in result.next if one.reading not in skipped))
    return replace(left, headline=headline(left))


def settled(result: Diagnosis) -> str:
    """The fault that it was, where what was done has put it right; "" where that is not clear."""
    if not result.actions_tried or result.fixed < OVER or not result.causes:
        return ""
    if result.contradiction:
        return ""
    lead = result.causes[0]
    return lead.fault if lead.present >= OVER and lead.fault != "healthy" else ""


def fits_none(unknown: float, misfit: bool, lead: float) -> bool:
    """Whether something leads that is not in the list; `lead`: the likeliest cause's probability.

    What was read is then doubted first.
    """
    return unknown >= LEADS or (misfit and lead < LEADS)


def _how_bad(lead: Cause, system: System) -> str | None:
    """The severity in words; None of a fault that has but one."""
    if lead.severity_high <= lead.severity_low:
        return None
    return severity_words(lead.fault, lead.severity, system)


def odds(probability: float) -> str:
    """A probability as a person says it: "62 in 100"; never certain.

    >>> odds(0.62), odds(0.999), odds(0.001)
    ('62 in 100', 'more than 95 in 100', 'less than 1 in 100')
    """
    if probability > SURE:
        return SAY("odds-most", part=f"{100 * SURE:.0f}")
    if probability < 0.01:
        return SAY("odds-least")
    return SAY("odds", part=f"{100 * probability:.0f}")
