"""The bleed valves of a loop, in the order of the file."""

from loop.air.bleeds import BleedJudgement
from loop.check import CheckResult
from loop.job import locate
from loop.parts import Bleed, Pump
from loop.records import dataclass
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker, called


@dataclass(frozen=True)
class Vent:
    """A bleed valve and its position.

    ``height`` [m] above the waterline; ``draws_air``, whether it would let air in while the pump
    runs; ``useful``, whether air leaves through it at all; ``drains``, whether the air is back at
    the next start, so that the card's readings are for a loop without that bleed.
    """

    name: str
    height: float
    draws_air: bool
    useful: bool
    drains: bool


def vents(result: CheckResult) -> tuple[Vent, ...]:
    """Every bleed valve once, in the order of the file."""
    every = {bleed.part: bleed for path in result.air for bleed in path.bleeds}
    return tuple(
        Vent(_name(result, bleed), bleed.height, bleed.draws_air, bleed.lets_out_air, bleed.drains)
        for _, bleed in sorted(every.items())
    )


def _name(result: CheckResult, bleed: BleedJudgement) -> str:
    """Its name; if there are several without labels, its position instead."""
    network, number = result.point.network, bleed.part
    line = network.lines[network.line_of[number]].parts
    alone = sum(isinstance(part, Bleed) for part in network.parts) == 1
    if alone or network.parts[number].label or number == line[0]:
        branch = network.branches[number]
        return called(network.labels[number]) + (f" ({branch})" if branch else "")
    before = locate(result.job.part)[line[line.index(number) - 1]]
    if isinstance(before.part, Pump):
        return SAY("bleed-at-pump")
    where = called(before.label) + (f" ({before.branch})" if before.branch else "")
    return SAY("bleed-after", part=where, level=Speaker(result.job).about_level(bleed.height))
