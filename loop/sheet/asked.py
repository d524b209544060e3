"""Parts that the first action of each finding asks for and the job does not have."""

from collections.abc import Iterable, Iterator

from loop.check import CheckResult
from loop.job import locate
from loop.sheet.content import Item
from loop.units import System
from loop.words import Action, Finding
from loop.words.actions import ChangeHose, FitAdapter, FitOrifice, FitValve
from loop.words.base import Address
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker, the_branch
from loop.words.start_valves import start_valves


def hoses(result: CheckResult) -> dict[int, float]:
    """Bore [m] that findings ask for, by the hose's index; the most serious finding wins."""
    addresses = [item.address for item in locate(result.job.part)]
    wishes: dict[int, float] = {}
    for step in _steps(result.findings):
        if isinstance(step, ChangeHose):
            for part in step.parts:
                wishes.setdefault(addresses.index(part), step.bore)
    return wishes


def asked(result: CheckResult) -> tuple[Item, ...]:
    """List lines for parts to fit: adapters by size, and one valve per place."""
    return (*_adapters(result), *_valves(result))


def _adapters(result: CheckResult) -> Iterator[Item]:
    """Adapters by size, with the parts they go in front of."""
    places: dict[tuple[float, float], list[Address]] = {}
    for finding in result.findings:
        first = [step.kind for action in finding.actions[:1] for step in action.steps]
        if finding.code == "bore-step" and (not first or FitAdapter.kind in first):
            bores = finding.values["bore"], finding.values["to"]
            small, large = sorted(float(bore) for bore in bores if isinstance(bore, float))
            assert finding.at.part is not None
            places.setdefault((large, small), []).append(finding.at.part)
    speaker = Speaker(result.job)
    for (large, small), parts in places.items():
        size = SAY("buy-adapter", result.job.units, large=large, small=small)
        note = SAY("buy-adapter-note", places=speaker.names(parts))
        yield Item(str(len(parts)), SAY("buy-new-adapter"), size, note, str(len(parts)))


def _valves(result: CheckResult) -> Iterator[Item]:
    """One valve per place; if two findings ask for one there, that of the more serious finding.

    Valves asked for only by a note are left out: the loop is good without them, and no step of the
    sheet fits them.
    """
    units = result.job.units
    placed: dict[tuple[str, str], Item] = {}
    graver = [finding for finding in result.findings if finding.level != "note"]
    for step in (*_steps(graver), *valves_to_start(result)):
        if isinstance(step, FitValve | FitOrifice):
            placed.setdefault((step.branch, step.part), _valve(step, units))
    yield from placed.values()


def valves_to_start(result: CheckResult) -> tuple[FitValve, ...]:
    """Valves, each once, that hold branches back at start-up and that the job does not have."""
    speaker = Speaker(result.job)
    found = (valve for one in result.findings for valve in start_valves(one, speaker))
    return tuple(dict.fromkeys(found))


def _valve(step: FitValve | FitOrifice, units: System) -> Item:
    place = SAY("buy-after-pump")
    if step.branch:
        place = SAY("buy-in-branch", branch=the_branch(step.branch, step.unit))
    if isinstance(step, FitOrifice):
        size = SAY("buy-orifice", units, k=f"{step.coefficient:.4g}", bore=step.bore)
        return Item("1", SAY("buy-new-orifice"), size, place, "1")
    note = SAY("buy-new-valve-note", units, place=place, angle=step.angle or None)
    return Item("1", SAY("buy-valve"), SAY("buy-port", units, bore=step.bore), note, "1")


def _steps(findings: Iterable[Finding]) -> Iterator[Action]:
    for finding in findings:
        for action in finding.actions[:1]:
            yield from action.steps
