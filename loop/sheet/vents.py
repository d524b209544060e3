"""The bleed valves of a loop, fitted and proposed, in the order the water meets them."""

from collections.abc import Iterator
from dataclasses import replace

from loop.check import CheckResult
from loop.hydraulics import Network
from loop.job import locate
from loop.parts import Pump
from loop.records import dataclass
from loop.words.actions import FitBleed
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker, called


@dataclass(frozen=True)
class Vent:
    """A bleed valve: what it is called and where it is.

    ``place`` says where a proposed one goes, and is empty for one that is fitted; ``height`` [m]
    above the waterline; ``draws_air``, whether it would let air in while the pump runs;
    ``useful``, whether air leaves by it at all.
    """

    name: str
    place: str
    height: float
    draws_air: bool
    useful: bool

    @property
    def proposed(self) -> bool:
        """Whether it is yet to be fitted."""
        return bool(self.place)


def vents(result: CheckResult) -> tuple[Vent, ...]:
    """Every bleed valve once, in the order of the file: those fitted, and those actions fit.

    Of each finding the first action is taken.
    """
    network = result.point.network
    addresses = [item.address for item in locate(result.job.part)]
    fitted: dict[tuple[int, float], Vent] = {}
    new: dict[tuple[int, float], Vent] = {}
    for path in result.air:
        for bleed in path.bleeds:
            name = called(network.labels[bleed.part]) + _branch(network, bleed.part)
            fitted[bleed.part, 0.0] = Vent(
                name, "", bleed.height, bleed.draws_air, bleed.lets_out_air
            )
    for step in _asked(result):
        index, place = addresses.index(step.part), _place(result, step)
        name, draws = SAY("bleed-proposed", place=place), step.opened != "running"
        vent = Vent(name, place, step.height, draws, True)
        new.setdefault((index, step.along or 0.0), vent)
    if len(fitted) == 1 and new:
        # Not to be taken for one of the others, where it has no name of its own.
        only, vent = next(iter(fitted.items()))
        if not network.parts[only[0]].label:
            fitted[only] = replace(vent, name=SAY("bleed-fitted") + _branch(network, only[0]))
    found = new | fitted
    return tuple(found[key] for key in sorted(found))


def _asked(result: CheckResult) -> Iterator[FitBleed]:
    """The bleeds that the findings' first actions fit."""
    for finding in result.findings:
        for action in finding.actions[:1]:
            for step in action.steps:
                if isinstance(step, FitBleed):
                    yield step


def _branch(network: Network, part: int) -> str:
    branch = network.branches[part]
    return f" ({branch})" if branch else ""


def _place(result: CheckResult, new: FitBleed) -> str:
    """Where a bleed is fitted, in words that find it on the boat."""
    speaker = Speaker(result.job)
    item = speaker.parts[new.part]
    if isinstance(item.part, Pump):
        return SAY("bleed-at-pump")
    where = speaker.name(new.part) + (f" ({item.branch})" if item.branch else "")
    level = speaker.level(new.height)
    if new.along is None:
        return SAY("bleed-after", part=where, level=level)
    return SAY("bleed-in", part=where, along=speaker.exact(new.along, "length"), level=level)
