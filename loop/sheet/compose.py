"""A check's result → the content of its job sheet."""

from collections.abc import Iterator, Mapping
from typing import Any

from loop.check import Change, CheckResult, CondenserResult, as_fixed, check
from loop.job import Job
from loop.sheet import asked, basis, card, cleaning, shopping, steps
from loop.sheet.content import Fact, Sheet, UnitRow
from loop.sheet.in_words import in_words
from loop.sheet.inputs import inputs
from loop.sheet.vents import vents
from loop.units import show
from loop.version import program_version
from loop.words import told
from loop.words.action_words import action_text
from loop.words.actions import SetValve
from loop.words.first_lines import all_well
from loop.words.hazards import OUT, hazard
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker

# Lines at the head of the sheet to fill in by hand.
_BY_HAND = ("by-hand-customer", "by-hand-boat", "by-hand-date", "by-hand-technician")


def sheet(result_or_job: CheckResult | Job, source: Mapping[str, Any] | None = None) -> Sheet:
    """The job sheet of a loop.

    Parameters
    ----------
    result_or_job : CheckResult or Job
        A job is checked first.
    source : mapping, optional
        The tables of the job's own file (`loop.job.read_toml`), printed among the inputs in the
        units in which they were written; without them the inputs are in SI units.

    Returns
    -------
    Sheet
        Texts in the job's system of units; `to_html` and `to_pdf` make pages of it.
    """
    result = result_or_job if isinstance(result_or_job, CheckResult) else check(result_or_job)
    repaired = as_fixed(result)
    fixed = repaired.result if repaired.whole else result
    along, docked = vents(fixed), _at_the_dock(fixed)
    made = repaired.changes if repaired.whole else ()
    changes = tuple(map(_change, made))
    return Sheet(
        result=result,
        fixed=fixed,
        changes=changes,
        waits="" if repaired.whole else SAY("waits"),
        title=result.job.title,
        verdict=result.verdict,
        verdict_line=_verdict_line(result),
        by_hand=tuple(SAY(name) for name in _BY_HAND),
        facts=_facts(result, changed=bool(changes)),
        units=_unit_rows(result, fixed) if changes else _units(result, ""),
        items=(
            *shopping.items(fixed.point.network, result.point.network, asked.hoses(fixed)),
            *asked.asked(fixed),
        ),
        items_note=shopping.note(),
        figure_text=in_words(fixed, result),
        card=() if _grave(result) or not repaired.whole else card.card(docked),
        card_note=card.note(),
        blanks=tuple(SAY(blank) for blank in card.BLANKS),
        steps=(
            *_done_first(made),
            *((*_launched(made), *steps.steps(docked, along)) if repaired.whole else ()),
        ),
        cleaning=cleaning.cleaning(docked),
        sources=basis.sources(result),
        estimates=basis.estimates(result),
        inputs=inputs(result.job, source),
        version=program_version(),
    )


def _grave(result: CheckResult) -> bool:
    """Whether the loop must not run as it is; its card then waits until that is fixed."""
    return any(one.level in ("danger", "fault") for one in result.findings)


def _verdict_line(result: CheckResult) -> str:
    """What the verdict means; for a good loop as `check` says it, with what the file omits."""
    if result.verdict == "good":
        return all_well(result.findings, result.job)
    return SAY("verdict-attention" if result.verdict == "attention" else "verdict-bad")


def _at_the_dock(result: CheckResult) -> CheckResult:
    """The result at rest, for reading, bleeding and bucket timing, whatever the job's speed."""
    return result if result.rest is None else check(result.job.at_speed(0.0), fixes=False)


def _done_first(changes: tuple[Change, ...]) -> Iterator[str]:
    """A step per change, except those of valves alone: they are set once the water is in."""
    row = "start-first"
    for change in changes:
        if any(not isinstance(step, SetValve) for step in change.action.steps):
            yield SAY(row, change=_change(change))
            row = "start-next"


def _launched(changes: tuple[Change, ...]) -> Iterator[str]:
    """The step back into the water, where a change is made out of it."""
    if any(
        hazard(step, Speaker(change.before.job)) == OUT
        for change in changes
        for step in change.action.steps
    ):
        yield SAY("start-launch")


def _change(change: Change) -> str:
    """A change as an instruction, with the finding that it fixes.

    Parts are named: their numbers in the file are those before the changes above.
    """
    job, findings = change.before.job, change.before.findings
    number = findings.index(change.finding)
    spoken = next(one for one in told(findings, job) if number in one.numbers)
    speaker, places = Speaker(job), [findings[one].at for one in spoken.numbers]
    parts = [at.part for at in places if at.part is not None and at.unit is None]
    where = speaker.names(dict.fromkeys(parts)) if parts else spoken.where
    action = action_text(change.action, speaker)
    return SAY("start-change", action=action, title=spoken.title.lower(), where=where)


def _facts(result: CheckResult, changed: bool) -> tuple[Fact, ...]:
    job, pump, system = result.job, result.pump, result.job.units
    water = {"temperature": job.water.temperature, "salinity": job.water.salinity}
    salt = "water" if job.water.salinity else "water-fresh"
    runs = SAY("pump", system, pump=job.pump.called, flow=pump.flow, head=pump.head)
    state = SAY("of-state", state=SAY("as-found")) if changed else ""
    primes = {"start": pump.start_head, "shutoff": pump.shutoff_head}
    return (
        Fact(SAY("fact-water"), SAY(salt, system, **water)),
        Fact(SAY("fact-boat"), _boat(job)),
        Fact(SAY("fact-pump") + state, runs),
        Fact(SAY("fact-priming") + state, SAY("priming", system, **primes)),
    )


def _boat(job: Job) -> str:
    """The boat's motions and loading that affect the intake, as stated in the job."""
    boat, system = job.boat, job.units
    said = (
        ("boat-heel", boat.heel),
        ("boat-trim", boat.trim),
        ("boat-waves", boat.wave_height),
        ("boat-light", boat.light_rise),
        ("boat-speed", boat.speed),
    )
    words = [SAY(row, system, value=value) for row, value in said if value]
    return ", ".join(words) or SAY("boat-at-rest")


# Conditions without which the stated flow of a unit does not apply.
_CONDITIONS = ("intake dry", "once primed", "if it runs")


def _unit_rows(found: CheckResult, fixed: CheckResult) -> tuple[UnitRow, ...]:
    """Each unit as found, followed by the same unit as fixed."""
    pairs = zip(_units(found, SAY("as-found")), _units(fixed, SAY("as-fixed")), strict=True)
    return tuple(row for pair in pairs for row in pair)


def _units(result: CheckResult, state: str) -> tuple[UnitRow, ...]:
    return tuple(_unit_row(result, unit, state) for unit in result.condensers)


def _unit_row(result: CheckResult, unit: CondenserResult, state: str) -> UnitRow:
    system, runs, resting = result.job.units, unit.runs_on, result.resting(unit.name)
    supply = result.supply(unit)
    return UnitRow(
        name=unit.name,
        state=", ".join(filter(None, (state, supply if supply in _CONDITIONS else ""))),
        need=show(unit.needed_flow, "flow", system),
        flow=show(unit.flow, "flow", system),
        band=card.span(unit.flow_low, unit.flow_high, "flow", system),
        rest="" if resting is None else SAY("units-rest", system, flow=resting),
        rise=show(unit.temperature_rise, "temperature_difference", system) if runs else "—",
        condensing=card.condensing(unit.condensing_temperature, system),
    )
