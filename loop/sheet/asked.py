"""What the findings' first actions ask for that the job does not have."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.job import locate
from loop.sheet.content import Item
from loop.units import System
from loop.words import Action
from loop.words.actions import ChangeHose, FitAdapter, FitOrifice, FitValve
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker
from loop.words.start_valves import start_valves


def hoses(result: CheckResult) -> dict[int, float]:
    """The bore [m] that is asked for in a hose, by the hose's index: the gravest finding's."""
    addresses = [item.address for item in locate(result.job.part)]
    wishes: dict[int, float] = {}
    for step in _steps(result):
        if isinstance(step, ChangeHose):
            for part in step.parts:
                wishes.setdefault(addresses.index(part), step.bore)
    return wishes


def asked(result: CheckResult) -> tuple[Item, ...]:
    """Lines for what is to be fitted: adapters by size, and a valve a place."""
    return (*_adapters(result), *_valves(result))


def _adapters(result: CheckResult) -> Iterator[Item]:
    sizes: dict[tuple[float, float], int] = {}
    for finding in result.findings:
        first = [step.kind for action in finding.actions[:1] for step in action.steps]
        if finding.code == "bore-step" and (not first or FitAdapter.kind in first):
            bores = finding.values["bore"], finding.values["to"]
            small, large = sorted(float(bore) for bore in bores if isinstance(bore, float))
            sizes[large, small] = sizes.get((large, small), 0) + 1
    for bores, count in sizes.items():
        large, small = bores
        size = SAY("buy-adapter", result.job.units, large=large, small=small)
        yield Item(str(count), SAY("buy-new-adapter"), size, SAY("buy-adapter-note"), str(count))


def _valves(result: CheckResult) -> Iterator[Item]:
    """One a place: of two findings that ask for a valve there, the graver one's."""
    units = result.job.units
    placed: dict[tuple[str, str], Item] = {}
    for step in (*_steps(result), *valves_to_start(result)):
        if isinstance(step, FitValve | FitOrifice):
            placed.setdefault((step.branch, step.part), _valve(step, units))
    yield from placed.values()


def valves_to_start(result: CheckResult) -> tuple[FitValve, ...]:
    """The valves that hold branches back at the start and that the job does not have, each once."""
    speaker = Speaker(result.job)
    found = (valve for one in result.findings for valve in start_valves(one, speaker))
    return tuple(dict.fromkeys(found))


def _valve(step: FitValve | FitOrifice, units: System) -> Item:
    place = SAY("buy-after-pump")
    if step.branch:
        row = "buy-in-branch-of" if step.unit else "buy-in-branch"
        place = SAY(row, unit=step.unit, branch=step.branch)
    if isinstance(step, FitOrifice):
        size = SAY("buy-orifice", units, k=f"{step.coefficient:.4g}", bore=step.bore)
        return Item("1", SAY("buy-new-orifice"), size, place, "1")
    note = SAY("buy-new-valve-note", units, place=place, angle=step.angle or None)
    return Item("1", SAY("buy-valve"), SAY("buy-port", units, bore=step.bore), note, "1")


def _steps(result: CheckResult) -> Iterator[Action]:
    for finding in result.findings:
        for action in finding.actions[:1]:
            yield from action.steps
