"""Hoses in a wider bore, with the fittings that go along."""

from collections.abc import Collection, Iterator

from loop.check.context import Context
from loop.hydraulics import Network
from loop.parts import Hose, Intake, Part, Seacock, Strainer
from loop.parts.hose import USUAL_LINING
from loop.parts.step import narrower
from loop.words.actions import ChangeHose


def wider_hose(
    context: Context, hoses: Collection[int], bore: float, hull: bool = True
) -> ChangeHose:
    """These hoses in a bore [m], with the narrower fittings joined to them.

    New hose is smooth where any of these is ribbed: ribs gain nothing but a tighter bend. With
    `hull`, all such fittings before the pump go along: through-hull, seacock and strainer too.
    Without it those three stay, with adapters: no haul-out, and enough where the water is slow in
    them. Other fittings go along where several hoses are changed, if they are bought by bore as
    hose is; a single hose gets adapters.
    """
    network = context.network

    def goes_along(index: int) -> bool:
        part, before = network.parts[index], index < network.pump_index
        if before and isinstance(part, Intake | Seacock | Strainer):
            return hull
        return (before and hull) or (len(hoses) > 1 and part.with_hose)

    fittings = [
        index
        for index in sorted(set(_adjoining_fittings(network, hoses)))
        if narrower(network.parts[index].inner_bore, bore) and goes_along(index)
    ]
    return ChangeHose(
        tuple(context.addresses[index] for index in hoses),
        bore,
        tuple(context.addresses[index] for index in fittings),
        USUAL_LINING if any(ribbed(network.parts[index]) for index in hoses) else None,
    )


def neighbor_bore(network: Network, hose: int) -> float:
    """The lesser bore [m] of the hoses on both sides of a narrower one; 0 for any other hose.

    A narrow piece in a wider line is replaced with hose of the line's own bore.
    """
    line = network.lines[network.line_of[hose]].parts
    hoses = [index for index in line if isinstance(network.parts[index], Hose)]
    place = hoses.index(hose)
    if not 0 < place < len(hoses) - 1:
        return 0.0
    bore = min(network.parts[hoses[beside]].inner_bore for beside in (place - 1, place + 1))
    return bore if narrower(network.parts[hose].inner_bore, bore) else 0.0


def ribbed(part: Part) -> bool:
    """Whether a part is a hose with a ribbed bore."""
    return isinstance(part, Hose) and part.ribbed


def _adjoining_fittings(network: Network, hoses: Collection[int]) -> Iterator[int]:
    """The fittings next to the hoses, up to the first part that is not one."""
    for line in network.lines:
        for position, index in enumerate(line.parts):
            if index in hoses:
                for side in (line.parts[position + 1 :], line.parts[:position][::-1]):
                    for other in side:
                        if not _sized_by_bore(network.parts[other]):
                            break
                        yield other


def _sized_by_bore(part: Part) -> bool:
    """Whether a part is chosen by its bore alone."""
    return part.with_hose or isinstance(part, Intake | Strainer)
