"""The single changes that may mend a loop: clean, open, lay a hose lower, fit something larger."""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

from loop.hydraulics import Network
from loop.job import Job
from loop.parts import (
    CheckValve,
    Condenser,
    Discharge,
    Elbow,
    Hose,
    Intake,
    Manifold,
    Part,
    Seacock,
    Strainer,
    Tee,
)
from loop.pumps import PumpCurve
from loop.records import dataclass
from loop.size.options import as_it_stands, pumps, refitted, with_parts, with_pump
from loop.units import show

# Pumps that are tried, the next stronger ones.
_PUMPS = 12
# Sizes larger that are tried of a fitting or hose, from the one that is there.
_SIZES = 3


@dataclass(frozen=True)
class Remedy:
    """One change: what it is, how much work (the less the earlier tried), and the parts it swaps.

    ``parts`` gives the new part by its place in the network's order.
    """

    change: str
    effort: int
    parts: dict[int, Part]


def mended(job: Job, remedies: Sequence[Remedy]) -> Job:
    """The job with these changes made."""
    swaps = {index: part for remedy in remedies for index, part in remedy.parts.items()}
    numbers = itertools.count()

    def swapped(parts: Sequence[Part]) -> tuple[Part, ...]:
        found = []
        for part in parts:
            part = swaps.get(next(numbers), part)
            if isinstance(part, Manifold):
                ways = [way.model_copy(update={"part": swapped(way.part)}) for way in part.branch]
                part = part.model_copy(update={"branch": tuple(ways)})
            found.append(part)
        return tuple(found)

    return with_parts(job, swapped(job.part))


def remedies(job: Job, network: Network) -> tuple[Remedy, ...]:
    """Every single change that is open to this loop, the least work first."""
    found = [
        *_cleaning(network),
        *_lower(job, network),
        *_larger(job, network),
        *_other_pumps(job, network),
    ]
    return tuple(sorted(found, key=lambda remedy: remedy.effort))


def _cleaning(network: Network) -> Iterator[Remedy]:
    for index, part in enumerate(network.parts):
        name = network.labels[index]
        if isinstance(part, Strainer) and part.blocked > 0:
            emptied = part.model_copy(update={"blocked": 0.0})
            yield Remedy(f"clean the {name}", 0, {index: emptied})
        elif isinstance(part, Seacock) and part.open < 1:
            yield Remedy(
                f"open the {name} fully", 0, {index: part.model_copy(update={"open": 1.0})}
            )
        elif isinstance(part, Condenser) and part.scale > 0:
            clean = part.model_copy(update={"scale": 0.0})
            yield Remedy(f"descale the {name} that serves {part.serves}", 1, {index: clean})


def _lower(job: Job, network: Network) -> Iterator[Remedy]:
    """Hoses with a high point on their way, laid so that none stands above their ends."""
    told = set()
    for _, way in network.paths():
        for before, index in itertools.pairwise(way):
            hose = network.parts[index]
            if not isinstance(hose, Hose) or not hose.via or index in told:
                continue
            told.add(index)
            most = max(network.heights[before], hose.to)
            if max(point.height for point in hose.via) <= most:
                continue
            lower = [
                point.model_copy(update={"height": min(point.height, most)}) for point in hose.via
            ]
            limit = show(most, "height", job.units)
            yield Remedy(
                f"lay the {network.labels[index]} no higher than {limit}",
                2,
                {index: hose.model_copy(update={"via": tuple(lower)})},
            )


def _larger(job: Job, network: Network) -> Iterator[Remedy]:
    for index, part in enumerate(network.parts):
        if isinstance(part, Seacock) and part.port is not None and part.port < part.inner_bore:
            full = part.model_copy(update={"port": None})
            yield Remedy(f"fit a full-bore {network.labels[index]}", 4, {index: full})
        if not isinstance(part, Hose | Elbow | Tee | CheckValve | Seacock | Intake | Discharge):
            continue
        larger = sorted(bore for bore in set(job.sizing.bores) if bore > part.inner_bore * 1.01)
        # A hole in the hull is the most work of all.
        effort = 3 if isinstance(part, Hose) else 6 if isinstance(part, Intake | Discharge) else 4
        for bore in larger[:_SIZES]:
            was, now = (show(size, "bore", job.units) for size in (part.inner_bore, bore))
            yield Remedy(
                f"{network.labels[index]} of {now} instead of {was}",
                effort,
                {index: refitted(part, bore)},
            )


def _other_pumps(job: Job, network: Network) -> Iterator[Remedy]:
    own = job.pump
    stronger = [curve for curve in pumps(job) if _strength(curve) > _strength(own.curve)]
    for curve in sorted(stronger, key=_strength)[:_PUMPS]:
        if curve.name != own.curve.name:
            yield Remedy(
                f"pump {curve.name} instead of {own.curve.name}",
                5,
                {network.pump_index: with_pump(job, replace(as_it_stands(job), pump=curve))},
            )


def _strength(curve: PumpCurve) -> float:
    """How strong a pump is: most flow times most head [m⁴/s]."""
    return curve.last_flow * curve.shutoff_head
