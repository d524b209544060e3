"""What the findings' first actions take that the job does not have; bleeds are `vents`."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.sheet.content import Item
from loop.units import show
from loop.words import Action
from loop.words.actions import FitOrifice, FitValve
from loop.words.speaker import Speaker


def asked(result: CheckResult) -> tuple[Item, ...]:
    """Lines for what is to be fitted: adapters by size, and a valve a place."""
    return (*_adapters(result), *_valves(result))


def _adapters(result: CheckResult) -> Iterator[Item]:
    sizes: dict[tuple[float, float], int] = {}
    for finding in result.findings:
        if finding.code == "bore-step":
            bores = finding.values["bore"], finding.values["to"]
            small, large = sorted(float(bore) for bore in bores if isinstance(bore, float))
            sizes[large, small] = sizes.get((large, small), 0) + 1
    for bores, count in sizes.items():
        size = " to ".join(show(bore, "bore", result.job.units) for bore in bores)
        yield Item(str(count), "adapter, proposed", size, "flat side up")


def _valves(result: CheckResult) -> Iterator[Item]:
    """One a place: of two findings that ask for a valve there, the graver one's."""
    speaker = Speaker(result.job)
    placed: dict[tuple[str, str], Item] = {}
    for step in _steps(result):
        if isinstance(step, FitValve | FitOrifice):
            placed.setdefault((step.branch, step.part), _valve(step, speaker))
    yield from placed.values()


def _valve(step: FitValve | FitOrifice, speaker: Speaker) -> Item:
    where = f"in the branch of {step.unit}" if step.unit else f"in the branch {step.branch}"
    place = where if step.branch else "after the pump"
    bore = speaker.number(step.bore, "bore")
    if isinstance(step, FitOrifice):
        return Item("1", "orifice, proposed", f"K {step.coefficient:.4g} on {bore}", place)
    angle = speaker.number(step.angle, "angle")
    return Item("1", "ball valve, proposed", f"{bore} port", f"{place}, set {angle} from open")


def _steps(result: CheckResult) -> Iterator[Action]:
    for finding in result.findings:
        for action in finding.actions[:1]:
            yield from action.steps
