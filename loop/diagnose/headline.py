"""The first line of an answer: the likeliest cause, or what to do next while nothing leads."""

from loop.diagnose.result import Diagnosis

# A cause is the headline from this probability on, and the trouble counts as over from that one.
LEADS, OVER = 0.5, 0.7
SURE = 0.95


def headline(result: Diagnosis) -> str:
    """One line: "Most likely: strainer blocked (87 % of the basket), 6 in 10"."""
    first = result.next[0] if result.next else None
    step = f"{first.title} ({first.minutes:g} min)" if first else "look along the whole loop"
    if result.readings.empty:
        return f"Nothing read yet. Begin with: {step}"
    if result.actions_tried and result.actions_tried[-1].readings and result.fixed >= OVER:
        return f"It looks fixed: {result.actions_tried[-1].title} did it. Read again to be sure"
    if result.unknown >= LEADS or result.misfit:
        return f"No fault in the list fits these readings: check them. Next: {step}"
    lead = result.causes[0] if result.causes else None
    if lead is None or lead.present < LEADS:
        return f"No cause stands out yet. Next: {step}"
    how_bad = lead.severity_words.split(" (")[0] if lead.severity_high > lead.severity_low else ""
    unit = lead.severity_words.rsplit(") ", 1)[-1] if ") " in lead.severity_words else ""
    bad = f" ({' '.join(filter(None, (how_bad, unit)))})" if how_bad else ""
    said = f"Most likely: {lead.title}{bad}, {odds(lead.present)}"
    other = result.causes[1] if len(result.causes) > 1 else None
    if other is None or other.present < LEADS:
        return said
    return f"{said}; with it {other.title}, {odds(other.present)}"


def odds(probability: float) -> str:
    """A probability as a person says it: "6 in 10"; never certain.

    >>> odds(0.62), odds(0.999)
    ('6 in 10', 'more than 95 in 100')
    """
    if probability > SURE:
        return "more than 95 in 100"
    if probability > 0.85 or probability < 0.15:
        return f"{round(100 * probability)} in 100"
    return f"{round(10 * probability)} in 10"
