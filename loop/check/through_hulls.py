"""Findings about openings in the hull that no seacock at them can shut."""

import math
from collections.abc import Iterable, Iterator

from loop.check.context import Context
from loop.check.drafts import Draft, draft, just
from loop.job import Boat
from loop.parts import Discharge, Elbow, Fitting, Seacock, Tee
from loop.words import Action, Value
from loop.words.actions import FitPart, MovePart

# What may stand between a through-hull and its seacock: nothing that can part as a hose can.
_RIGID = (Elbow, Fitting, Tee)


def seacock_findings(context: Context) -> Iterator[Draft]:
    """seacock-missing, at the intake and at each discharge that the sea can reach."""
    yield from _intake(context)
    for index, part in enumerate(context.network.parts):
        if isinstance(part, Discharge):
            yield from _discharge(context, index, part)


def _intake(context: Context) -> Iterator[Draft]:
    network, pump = context.network, context.network.pump_index
    if context.job.intake.height >= 0 or _shuts(context, range(1, pump)):
        return
    address = context.addresses[0]
    ways: list[Action] = [FitPart(address, "seacock", context.job.intake.inner_bore)]
    values: dict[str, Value | None] = {}
    far = [i for i in range(1, pump) if isinstance(network.parts[i], Seacock)]
    if far:
        between = next(i for i in range(1, pump) if not isinstance(network.parts[i], _RIGID))
        cock = context.addresses[far[0]]
        values = {"case": "far", "part": cock, "first": context.addresses[between]}
        ways.insert(0, MovePart(cock, address))
    yield draft("seacock-missing", "danger", context.at(0), values, just(*ways))


def _discharge(context: Context, index: int, part: Discharge) -> Iterator[Draft]:
    depth = deepest(part, context.job.boat)
    if depth <= 0 or has_seacock(context, index):
        return
    before = _before(context, index) or [index - 1]
    fit = FitPart(context.addresses[before[-1]], "seacock", part.inner_bore)
    yield draft(
        "seacock-missing",
        "danger",
        context.at(index),
        {
            "case": "discharge" if part.height < 0 else "heeled",
            "part": context.addresses[index],
            "depth": depth,
        },
        just(fit),
    )


def has_seacock(context: Context, index: int) -> bool:
    """Whether a seacock shuts a discharge, given by its number."""
    return _shuts(context, reversed(_before(context, index)))


def _before(context: Context, index: int) -> list[int]:
    """The parts between the pump, or the last joint, and a discharge."""
    network = context.network
    line = network.lines[network.line_of[index]].parts[:-1]
    return [i for i in line if i > network.pump_index]


def deepest(part: Discharge, boat: Boat) -> float:
    """Depth [m] of a discharge below the water in the boat's worst attitude, without waves."""
    return (
        -part.height
        + abs(part.off_centre or 0.0) * math.sin(abs(boat.heel))
        + abs(part.fore_aft or 0.0) * math.sin(abs(boat.trim))
    )


def _shuts(context: Context, outward: Iterable[int]) -> bool:
    """Whether a seacock comes first, rigid fittings apart, from a through-hull on."""
    for index in outward:
        part = context.network.parts[index]
        if not isinstance(part, _RIGID):
            return isinstance(part, Seacock)
    return False
