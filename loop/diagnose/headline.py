"""The first line of an answer: the likeliest cause, or the next step while nothing leads."""

from loop.diagnose.actions import BY_NAME
from loop.diagnose.contradiction import pair_text
from loop.diagnose.display import any_of, display_name, reading_text
from loop.diagnose.faults import HIDING
from loop.diagnose.fix_status import OVER, pump_is_off
from loop.diagnose.groups import SURE
from loop.diagnose.reading_kinds import proves
from loop.diagnose.remaining_fault import HERTZ, SUPPLY, frequency_would_separate
from loop.diagnose.result import Cause, Diagnosis
from loop.diagnose.root_cause import ROOT_CAUSE_CHECKS
from loop.diagnose.step_order import LEADS
from loop.units import System
from loop.words.diagnosis import SAY
from loop.words.faults import is_graded, look, severity_words
from loop.words.had import ALL
from loop.words.template import capital
from loop.words.to_do import FIX

# Lines whose rounded probabilities add up to more than this are said to overlap.
OVERLAP = 1.005


def headline(result: Diagnosis) -> str:
    """One line: "Most likely: strainer blocked (87 % of the basket), 62 in 100"."""
    said = _headline(result)
    if result.still_wrong:
        steps = result.readings.steps
        read = [one.values[key] for one in steps if (key := result.still_wrong) in one.values][-1]
        value = reading_text(result.still_wrong, read, result.job.units)
        still = f"{display_name(result.still_wrong)} {value}"
        said = SAY(
            "headline-runs-again", done=_action_title(result, result.better), still=still, said=said
        )
    if not result.hums:
        return said
    return SAY("headline-hums-off" if pump_is_off(result.readings) else "headline-hums", said=said)


def _headline(result: Diagnosis) -> str:
    first = result.next[0] if result.next else None
    step = SAY("step-brief", title=first.title, minutes=first.minutes) if first else SAY("no-step")
    if result.readings.empty:
        return SAY("headline-nothing-read", step=step)
    if result.left:
        mend = first is not None and not first.reading.startswith(FIX)
        return _still_to_do(result, step if mend else "")
    if result.fixed_by and not result.unread and not result.contradiction:
        return _ending(result, step if first and result.asked else None)
    if result.unread and first and proves(first.reading) and not result.contradiction:
        return SAY("headline-unread", done=_action_title(result, result.unread), step=step)
    lead = result.causes[0] if result.causes else None
    told = lead is not None and lead.fault != "healthy" and lead.present >= LEADS  # by hearsay
    if result.well and first is None and not (result.hums or told):
        return _as_built_line(result, SAY("headline-sound"))
    no_fit = unlisted_leads(result.unknown, bool(result.misfit), lead.present if lead else 0.0)
    again = first is not None and first.reading in result.contradiction
    if result.contradiction and (result.fixed >= OVER or no_fit or again):
        pair = pair_text(result.contradiction, result.readings, result.job.units)
        return SAY("headline-pair", step=step, **pair)
    if no_fit:
        return SAY("headline-no-fit", step=step)
    was = lead is not None and (lead.fault in HIDING or result.fixed >= OVER)
    gone = bool(result.still_wrong) and was  # that fault, and another one
    if lead is None or lead.present < LEADS or gone:
        return _as_built_line(result, _none_leads(result, step))
    other = result.causes[1] if len(result.causes) > 1 else None
    with_it = other if other is not None and other.present >= LEADS else None
    said = SAY(
        "headline-cause",
        cause=lead.title,
        bad=_severity_text(lead, result.job.units),
        odds=odds_text(lead.present),
        other=with_it.title if with_it else None,
        other_odds=odds_text(with_it.present) if with_it else None,
    )
    said = _as_built_line(result, said) if lead.fault == "healthy" else said
    return SAY("headline-doubtful", said=said) if result.misfit else said


def _ending(result: Diagnosis, asked: str | None) -> str:
    """The first line once the trouble is over for now: why the call is not finished, or that it is.

    ``asked`` : the step that would end it.
    """
    done = _action_title(result, result.fixed_by)
    if result.recurs:
        return SAY("headline-recurs", done=done, built=result.as_built)
    if result.unknown_why:
        row = ROOT_CAUSE_CHECKS[result.unknown_why]
        then = SAY("headline-next", step=asked) if asked else SAY(result.watch)
        return SAY("headline-unknown", done=done, unknown=SAY(row.unknown), then=then)
    return SAY("headline-done" if result.done else "headline-fixed", done=done, step=asked)


def _still_to_do(result: Diagnosis, step: str) -> str:
    """The first line once the trouble is over for now but its cause remains."""
    fed = _one_of_the_supply(result)
    left = fed or [next(cause for cause in result.causes if cause.fault == result.left)]
    there = min(sum(cause.present for cause in left), 1.0)
    then = look(SUPPLY[0], ALL) if fed else left[0].fix
    row = "headline-left" if there >= LEADS else "headline-perhaps-left"
    return SAY(
        row if result.fixed_by else "headline-found",
        done=_action_title(result, result.fixed_by) if result.fixed_by else None,
        cause=any_of([cause.title for cause in left]),
        odds=odds_text(there),
        then=SAY("left-next", step=step) if step and not fed else capital(then),
    )


def _one_of_the_supply(result: Diagnosis) -> list[Cause]:
    """Candidate supply faults of an AC pump that neither hertz nor the generator has separated."""
    if HERTZ not in result.healthy or not frequency_would_separate(result.readings, result.left):
        return []
    return [cause for cause in result.causes if cause.fault in SUPPLY]


def _none_leads(result: Diagnosis, step: str) -> str:
    """A first line that names no cause: whether all is well, and what was found nevertheless."""
    if not result.well:
        return SAY("headline-none-leads", step=step)
    found = found_so_far(result)
    row = "headline-all-well-but" if found else "headline-all-well"
    return SAY(row, step=step, found=found)


def found_so_far(result: Diagnosis) -> str:
    """What was found at fault, in words; "" for nothing."""
    steps = [one for one in result.actions_tried if one.saw == BY_NAME[one.action].answers[0]]
    return "; ".join(f"{one.title}, {one.saw}" for one in steps)


def _action_title(result: Diagnosis, action: str) -> str:
    """Displayed name of an action that was done on this loop."""
    return next(one.title for one in result.actions_tried if one.action == action)


def _as_built_line(result: Diagnosis, said: str) -> str:
    """A first line that names no fault, preceded by what is wrong with the loop as built."""
    return SAY("headline-as-built", built=result.as_built, said=said) if result.as_built else said


def why_no_step(result: Diagnosis) -> str:
    """Key of the text that says why an answer has no next step."""
    if result.done:
        return "next-done"
    if result.left or result.recurs:
        return "next-left"
    return "next-watch" if result.unknown_why else "next-none"


def fixed_fault(result: Diagnosis) -> str:
    """The fault that was fixed by the actions; "" where that is not clear."""
    if not result.actions_tried or result.fixed < OVER or not result.causes:
        return ""
    if result.contradiction or not (result.done or result.left):
        return ""
    lead = result.causes[0]
    return lead.fault if lead.present >= OVER and lead.fault != "healthy" else ""


def unlisted_leads(unknown: float, misfit: bool, lead: float) -> bool:
    """Whether an unlisted cause leads; `lead` is the likeliest cause's probability.

    The readings are then doubted first.
    """
    return unknown >= LEADS or (misfit and lead < LEADS)


def _severity_text(lead: Cause, system: System) -> str | None:
    """The severity in words; None for a fault with only one severity or one wording."""
    if lead.severity_high <= lead.severity_low or not is_graded(lead.fault):
        return None
    return severity_words(lead.fault, lead.severity, system)


def odds_text(probability: float) -> str:
    """A probability as a person says it: "62 in 100"; never certain.

    >>> odds_text(0.62), odds_text(0.999), odds_text(0.001)
    ('62 in 100', 'more than 95 in 100', 'less than 1 in 100')
    """
    if probability > SURE:
        return SAY("odds-most", part=f"{100 * SURE:.0f}")
    if probability < 0.01:
        return SAY("odds-least")
    return SAY("odds", part=f"{100 * probability:.0f}")
