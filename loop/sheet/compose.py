"""A check's result → the content of its job sheet."""

from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from loop.check import Change, CheckResult, CondenserResult, as_fixed, check
from loop.job import Job
from loop.sheet import asked, basis, card, cleaning, shopping, steps
from loop.sheet.content import Fact, Sheet, UnitRow
from loop.sheet.inputs import inputs
from loop.sheet.vents import Vent, vents
from loop.units import show
from loop.words import say
from loop.words.action_words import action_text
from loop.words.speaker import Speaker

_VERDICT_LINE = {
    "good": "Every unit gets the water it needs, at the poor end of the tolerances too.",
    "attention": "Every unit should get what it needs; fix each warning to be sure of it.",
    "bad": "Not fit to run as found: fix each danger and fault first.",
}

# Branches that the drawing's words go into; more than a dozen nobody reads.
_TOLD = 12


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
    result = check(result_or_job) if isinstance(result_or_job, Job) else result_or_job
    repaired = as_fixed(result)
    fixed, along = repaired.result, vents(repaired.result)
    changes = tuple(_change(one) for one in repaired.changes)
    return Sheet(
        result=result,
        fixed=fixed,
        changes=changes,
        title=result.job.title,
        verdict=result.verdict,
        verdict_line=_VERDICT_LINE[result.verdict],
        facts=_facts(result),
        units=tuple(_unit_row(result, unit) for unit in result.condensers),
        items=(*shopping.items(fixed.point.network, along), *asked.asked(fixed)),
        items_note=shopping.NOTE,
        figure_text=_figure_text(fixed, along),
        card=() if repaired.changes or not repaired.whole else card.card(result),
        card_note=card.NOTE,
        blanks=card.BLANKS,
        steps=(*map(_cap, (f"first, {one}" for one in changes)), *steps.steps(fixed, along)),
        cleaning=cleaning.cleaning(fixed),
        sources=basis.sources(result),
        estimates=basis.estimates(result),
        inputs=inputs(result.job, source),
        version=_version(),
    )


def _change(change: Change) -> str:
    """A change as an instruction, with what it cures."""
    job = change.before.job
    spoken, speaker = say(change.finding, job), Speaker(job)
    return f"{action_text(change.action, speaker)} ({spoken.title.lower()}, {spoken.where})."


def _facts(result: CheckResult) -> tuple[Fact, ...]:
    job, pump, system = result.job, result.pump, result.job.units
    salt = "fresh" if job.water.salinity == 0 else f"practical salinity {job.water.salinity:g}"
    start = show(pump.start_head, "head", system)
    return (
        Fact("Water", f"{show(job.water.temperature, 'temperature', system)}, {salt}"),
        Fact("Boat", _boat(job)),
        Fact(
            "Pump",
            f"{job.pump.called}: {show(pump.flow, 'flow', system)} at "
            f"{show(pump.head, 'head', system)}",
        ),
        Fact("Start-up", f"needs {start} of {show(pump.shutoff_head, 'head', system)} at shut-off"),
    )


def _boat(job: Job) -> str:
    """What the boat does to the intake, as far as the job says."""
    boat, system = job.boat, job.units
    said = (
        ("heel {}", boat.heel, "angle"),
        ("trim {}", boat.trim, "angle"),
        ("waves {}", boat.wave_height, "height"),
        ("{} higher when light", boat.light_rise, "height"),
        ("at {}", boat.speed, "speed"),
    )
    words = [words.format(show(value, kind, system)) for words, value, kind in said if value]
    return ", ".join(words) or "at rest and upright"


def _unit_row(result: CheckResult, unit: CondenserResult) -> UnitRow:
    system, runs = result.job.units, unit.runs_on
    return UnitRow(
        name=unit.name,
        need=show(unit.needed_flow, "flow", system),
        flow=show(unit.flow, "flow", system),
        band=card.span(unit.flow_low, unit.flow_high, "flow", system),
        rise=show(unit.temperature_rise, "temperature_difference", system) if runs else "—",
        condensing=card.condensing(unit.condensing_temperature, system),
    )


def _figure_text(result: CheckResult, along: tuple[Vent, ...]) -> str:
    """The drawn loop in words, for who cannot see it."""
    system = result.job.units
    said = []
    intake = show(float(result.air[0].profile.heights[0]), "height", system)
    for path in result.air[:_TOLD]:
        heights = path.profile.heights
        top, end = (
            show(float(height), "height", system) for height in (heights.max(), heights[-1])
        )
        way = _cap(path.branch) if path.branch else f"From {intake} at the intake"
        turns = f"{len(path.crests)} high and {len(path.sags)} low points"
        said.append(f"{way}: {top} at most, {end} at the end, {turns}.")
    if any(path.branch for path in result.air):
        said.insert(0, f"The intake is at {intake}.")
    if len(result.air) > _TOLD:
        said.append(f"And {len(result.air) - _TOLD} branches more.")
    fitted = sum(not vent.proposed for vent in along)
    return (
        "The loop along its length against height over the waterline. "
        + " ".join(said)
        + f" Bleed valves: {fitted} fitted, {len(along) - fitted} proposed."
    )


def _cap(text: str) -> str:
    return text[:1].upper() + text[1:]


def _version() -> str:
    try:
        return version("seawater-loop")
    except PackageNotFoundError:
        return "from source"
