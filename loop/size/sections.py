"""Sections of a sizing's report besides its tables of options, for the terminal and the page."""

from collections.abc import Iterator, Sequence

from loop.job import Job
from loop.size.battery_sections import battery
from loop.size.result import Change, SizeResult
from loop.size.section import Section
from loop.size.words import apart_words, as_new_words, reach_words
from loop.size.worst_case import at_worst_service
from loop.units import System, show
from loop.words import Finding, told
from loop.words.action_words import action_text
from loop.words.chance import chance
from loop.words.size_report import SAY
from loop.words.speaker import Speaker
from loop.words.template import capital

# Rows for the respects in which another option is better.
_BETTER = {
    "cheaper": "against-cheaper",
    "smaller": "against-smaller",
    "quieter": "against-power",
    "less draw": "against-draw",
}


def sections(result: SizeResult) -> tuple[Section, ...]:
    """Every section with content, in order."""
    builders = (_preconditions, _against, _reach, _advised, _least, _apart, battery)
    return tuple(section for builder in builders for section in builder(result))


def _preconditions(result: SizeResult) -> Iterator[Section]:
    """What comes before any size: first corrections; ahead of them what makes a loop unsound."""
    parts = (*_first(result), *_aside(result))
    yield from reversed(parts) if _unsound(result) else parts


def _unsound(result: SizeResult) -> bool:
    return any(one.level in ("danger", "fault") for one in result.aside)


def _first(result: SizeResult) -> Iterator[Section]:
    """What is corrected first, a condition for every size."""
    if result.first:
        speaker = Speaker(result.job)
        lines = tuple(f"{capital(action_text(one, speaker))}." for one in result.first)
        yield Section("first", SAY("first-title"), lines, first=True)


def _aside(result: SizeResult) -> Iterator[Section]:
    """What no size of hose or pump fixes: with it left, a check does not find the loop good."""
    if result.aside:
        title = SAY("aside-grave-title" if _unsound(result) else "aside-title")
        lines = _finding_lines(result.aside, result.chosen)
        yield Section("aside", title, lines, first=True)


def _advised(result: SizeResult) -> Iterator[Section]:
    """Check findings on the loop as it stands that no size resolves as well."""
    if result.advised:
        title = "advised-title" if result.least_change else "advised-only-title"
        lines = _finding_lines(result.advised, at_worst_service(result.cared))
        yield Section("advised", SAY(title), lines)


def _finding_lines(findings: Sequence[Finding], job: Job) -> tuple[str, ...]:
    """Findings about a job, one line each; equal lines only once."""
    said = told(findings, job)
    lines = [SAY("aside", message=f"{capital(s.message)}.", fix=s.first_fix) for s in said]
    return tuple(dict.fromkeys(lines))


def _against(result: SizeResult) -> Iterator[Section]:
    """Why the choice ranks ahead of cheaper, smaller, quieter or lower-draw options."""
    if result.against:
        lines = (f"{SAY(_BETTER[one.of])}: {one.text}" for one in result.against)
        yield Section("against", SAY("against-title"), tuple(lines))


def _reach(result: SizeResult) -> Iterator[Section]:
    """How far the choice goes before it fails, one quantity at a time."""
    if result.reach:
        head = ("", SAY("reach-now"), SAY("reach-passes-to"), SAY("reach-then"))
        rows = (reach_words(one, result.job.units) for one in result.reach)
        yield Section("reach", SAY("reach-title"), head=head, rows=tuple(rows))


def _least(result: SizeResult) -> Iterator[Section]:
    """What fixes the job as it stands."""
    if not result.least_change:
        fails = any(option.as_is and not option.passes for option in result.options)
        if fails and not result.advised:
            yield Section("least", SAY("least-nothing-title"))
        return
    title = "least-title" if result.least_change[-1].passes else "least-none-title"
    changes = [_change_line(change, result.job.units) for change in result.least_change]
    yield Section(
        "least", SAY(title), (*changes, *_as_new(result.least_change)), note=result.not_first
    )
    if result.other_changes:
        others = (
            (SAY("least-and").join(change.change for change in some), _as_new(some))
            for some in result.other_changes
        )
        lines = (" ".join((f"{capital(text)}.", *besides)) for text, besides in others)
        yield Section("others", SAY("least-others-title"), tuple(lines))


def _as_new(changes: Sequence[Change]) -> tuple[str, ...]:
    """What a check still finds as new after a set of changes: one sentence, or none."""
    as_new = changes[-1].as_new
    return (as_new_words(as_new),) if as_new else ()


def _change_line(change: Change, units: System) -> str:
    gain = change.gain if change.gain > 0 else None
    likely = chance(change.chance) if change.passes else None
    changed = capital(change.change)
    return SAY("least", units, change=changed, gain=gain, flow=change.flow, chance=likely)


def _apart(result: SizeResult) -> Iterator[Section]:
    """The alternative of a pump for each unit."""
    if not result.apart:
        return
    units, rows = result.job.units, []
    for one in result.apart:
        if one.option is None:
            rows.append((one.unit, SAY("apart-none"), "", "", ""))
            continue
        hoses = ", ".join(show(bore, "bore", units) for bore in one.option.choice.bores)
        flow, power = one.option.flow, one.option.power
        numbers = show(flow, "flow", units), show(power, "power", units)
        rows.append((one.unit, one.option.choice.pump.name, hoses, *numbers))
    names = ("head-pump", "head-hoses", "head-flow", "head-power")
    head = ("", *(SAY(name) for name in names))
    yield Section(
        "apart", SAY("apart-title"), head=head, rows=tuple(rows), note=apart_words(result)
    )
