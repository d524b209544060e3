"""Findings about seacocks: missing at an opening in the hull, off the hull, or part-shut."""

import math
from collections.abc import Iterable, Iterator
from functools import partial

from loop.check.air import flows_with
from loop.check.context import Context
from loop.check.discharge_fixes import usual_height
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.vent_height import deepest, vent_height
from loop.margins.suction import SINKAGE
from loop.parts import Condenser, Discharge, Elbow, Fitting, Part, Seacock, Tee, VentedLoop
from loop.parts.seacock import handle_angle
from loop.words import Action, Level, Value
from loop.words.actions import FitPart, MovePart, RaiseOutlet, SetValve
from loop.words.hazards import dry

# Parts allowed between a through-hull and its seacock: they cannot come off as a hose can.
_RIGID = (Elbow, Fitting)
# Threaded elbows that may carry a seacock: on more it hangs from a lever that a foot can break.
# Engineering estimate.
_TURNS = 1
# Opening from which a handle is in line with the hose: engineering estimate.
_OPEN = 0.99
# Least difference [m] between depths heeled and upright that counts.
_NOISE = 1e-4
# Distance [m] of the water from a lip at the worst heel and trim that counts as reaching it: a
# waterline cannot be told closer than a quarter inch. Engineering estimate.
_NEAR = 0.006
# Level where an outlet without a seacock comes under water only momentarily.
_DIPPED: dict[str, Level] = {
    "waves": "warning",
    "stepped": "warning",
    "heeled-near": "warning",
    "heeled-stepped": "note",
    "heeled-waves": "note",
}
# Cases brought about by people stepping aboard.
_LADEN = ("stepped", "heeled-near", "heeled-stepped")
# Least head [m] that is displayed as more than zero.
_SHOWN = 0.02


def seacock_findings(context: Context) -> Iterator[Draft]:
    """seacock-missing, at the intake and at each discharge that the sea can reach."""
    yield from _intake(context)
    for index, part in enumerate(context.network.parts):
        if isinstance(part, Discharge):
            yield from _discharge(context, index, part)


def _intake(context: Context) -> Iterator[Draft]:
    network, pump = context.network, context.network.pump_index
    if context.job.intake.height >= 0 or _on_hull(context, range(1, pump)):
        return
    address = context.addresses[0]
    ways: list[Action] = [FitPart(address, "seacock", context.job.intake.inner_bore)]
    values: dict[str, Value | None] = {}
    far = [i for i in range(1, pump) if isinstance(network.parts[i], Seacock)]
    if far:
        between = next(i for i in range(1, pump) if not _rigid(network.parts[i]))
        cock = context.addresses[far[0]]
        values = {"case": "far", "part": cock, "first": context.addresses[between]}
        ways.insert(0, MovePart(cock, address))
    yield draft("seacock-missing", "danger", context.place(0), values, fixed_candidates(*ways))


def _discharge(context: Context, index: int, part: Discharge) -> Iterator[Draft]:
    boat = context.job.boat
    heeled, crest = deepest(part, boat), boat.wave_height / 2
    # The worst heel together with the worst waves, or with more immersion than measured, does not
    # last long: together they are a note.
    near = heeled > -_NEAR
    depths = {
        "discharge" if part.height < 0 else "heeled": heeled,
        "waves" if crest >= SINKAGE else "stepped": max(crest, SINKAGE) - part.height,
        "heeled-near" if near else "heeled-stepped": heeled + SINKAGE,
        "heeled-waves": heeled + crest,
    }
    if crest >= SINKAGE:
        depths.pop("heeled-stepped", None)
    case = next((case for case, depth in depths.items() if depth > _NOISE), "")
    if not case or has_seacock(context, index):
        return
    before = before_outlet(context, index) or [index - 1]
    level, last = _DIPPED.get(case, "danger"), context.addresses[before[-1]]
    ways: list[Action] = [
        RaiseOutlet(context.addresses[index], usual_height(part, boat, context.job.units)),
        FitPart(last, "seacock", part.inner_bore),
    ]
    if dry(part.height, boat):
        # A seacock is fitted afloat, onto the existing through-hull: no hole to cut or to close.
        ways.reverse()
    if (moved := to_the_hull(context, index)) is not None:
        ways.insert(0, moved)
    yield draft(
        "seacock-missing",
        level,
        context.place(index),
        {
            "case": case,
            "part": context.addresses[index],
            "depth": depths[case],
            "waves": boat.wave_height if "waves" in case else None,
            "moved": SINKAGE if case in _LADEN else None,
            "upright": -part.height if 0 < -part.height < heeled - _NOISE else None,
            **_far(context, before, case),
        },
        fixed_candidates() if level == "note" else fixed_candidates(*ways),
    )


def mounting_findings(context: Context) -> Iterator[Draft]:
    """seacock-off-hull: a seacock with something between it and its through-hull."""
    network, boat = context.network, context.job.boat
    if context.job.intake.height < 0:
        yield from _between_hull_and_seacock(context, range(1, network.pump_index), 0)
    for index, part in enumerate(network.parts):
        if not isinstance(part, Discharge):
            continue
        reached = max(deepest(part, boat), max(boat.wave_height / 2, SINKAGE) - part.height)
        before = before_outlet(context, index)
        if reached > _NOISE and before:
            yield from _between_hull_and_seacock(context, before[::-1], before[-1])


def _between_hull_and_seacock(
    context: Context, inward: Iterable[int], hull: int
) -> Iterator[Draft]:
    """What is between a through-hull and its seacock, which belongs just after `hull`."""
    parts, addresses = context.network.parts, context.addresses
    between: list[int] = []
    for index in inward:
        if _rigid(parts[index]):
            between.append(index)
            continue
        if between and isinstance(parts[index], Seacock):
            unknown = [i for i in between if isinstance(parts[i], Fitting)]
            turns = sum(part.count for i in between if isinstance(part := parts[i], Elbow))
            weak = bool(unknown) or turns > _TURNS
            case = "fitting" if unknown else None if weak else "strong"
            values = {"case": case, "part": addresses[index]}
            values["first"] = addresses[(unknown or between)[0]]
            moved = fixed_candidates(MovePart(addresses[index], addresses[hull]))
            level: Level = "warning" if weak else "note"
            at = context.place(index)
            yield draft("seacock-off-hull", level, at, values, moved if weak else None)
        return


def to_the_hull(context: Context, index: int) -> MovePart | None:
    """Move a discharge's inboard seacock to its through-hull, if it has one and none is there."""
    before = before_outlet(context, index)
    far = None if has_seacock(context, index) else _inboard(context, before)
    return None if far is None else MovePart(context.addresses[far], context.addresses[before[-1]])


def _inboard(context: Context, before: Iterable[int]) -> int | None:
    """The seacock of a discharge that is not on its through-hull: the last after its unit.

    A part-shut one in a branch may be balancing the branches.
    """
    network = context.network
    for index in sorted(before, reverse=True):
        part = network.parts[index]
        if isinstance(part, Condenser):
            return None
        if isinstance(part, Seacock):
            return None if network.branches[index] and part.open < _OPEN else index
    return None


def _far(context: Context, before: Iterable[int], case: str) -> dict[str, Value | None]:
    """Values for a discharge's seacock that is not on its through-hull, if it has one.

    ``first`` is the part nearest to the discharge that can come off as a hose can.
    """
    cock = _inboard(context, before)
    if cock is None:
        return {}
    soft = (i for i in sorted(before, reverse=True) if not _rigid(context.network.parts[i]))
    return {
        "case": f"{'far-heeled' if 'heeled' in case else 'far-outlet'} {case}",
        "cock": context.addresses[cock],
        "first": context.addresses[next(soft)],
    }


def part_shut_findings(context: Context) -> Iterator[Draft]:
    """seacock-part-shut: a seacock in the suction, or at an outlet, that throttles."""
    network = context.network
    outlets = {
        cock: part
        for index, part in enumerate(network.parts)
        if isinstance(part, Discharge)
        for cock in _on_hull(context, reversed(before_outlet(context, index)))
    }
    for index, part in enumerate(network.parts):
        if not isinstance(part, Seacock) or part.shut or part.open >= _OPEN:
            continue
        if index < network.pump_index:
            case = None
        elif index not in outlets:
            continue
        elif outlets[index].height < 0:
            case = "outlet"
        elif network.branches[index]:
            continue  # above the water it may be balancing the branches
        else:
            case = "above"
        opened = SetValve(context.addresses[index], 0.0)
        yield draft(
            "seacock-part-shut",
            "note" if case else "warning",
            context.place(index),
            {
                "case": case,
                "part": context.addresses[index],
                "angle": math.radians(handle_angle(part.open)),
                "taken": _throttled(context, index, part),
                "head": context.point.pump_head,
            },
            fixed_candidates(opened),
            solved_values=partial(_gained, context, index, opened) if case == "above" else dict,
        )


def _gained(context: Context, index: int, opened: SetValve) -> dict[str, Value]:
    """Flow through a seacock, and its flow once open [m³/s]."""
    flows = flows_with(context, opened) if context.has_flow else None
    if flows is None:
        return {}
    return {"flow": context.point.flow_through(index), "opened": flows[index]}


def _throttled(context: Context, index: int, part: Seacock) -> float | None:
    """Extra head [m] of a part-shut seacock over an open one; None if negligible."""
    network = context.network
    flow = abs(float(context.point.line_flow[network.line_of[index]]))
    as_open = part.model_copy(update={"open": 1.0})
    if flow == 0:
        return None
    own, least = (float(cock.head_loss(flow, network.water)) for cock in (part, as_open))
    taken = context.job.fitted.loss * (own - least)
    return taken if taken >= _SHOWN else None


def has_seacock(context: Context, index: int) -> bool:
    """Whether a discharge, by part index, has a seacock on its through-hull."""
    return bool(_on_hull(context, reversed(before_outlet(context, index))))


def sea_shut_out(context: Context, index: int) -> bool:
    """Whether a discharge has a seacock, and a vented loop on every path to it from the pump.

    A vented loop that is high enough: where branches rejoin before the discharge, one in each or
    one after all.
    """
    network = context.network
    vents = [i for i, part in enumerate(network.parts) if isinstance(part, VentedLoop)]
    heights = {i: vent_height(context, i) for i in vents if i > network.pump_index}
    broken = {network.line_of[i] for i, vent in heights.items() if vent.height >= vent.least}
    back = [network.line_of[index]]
    for line in back:
        if line in broken:
            continue
        if line == network.line_of[network.pump_index]:
            return False
        back += [n for n, o in enumerate(network.lines) if o.end == network.lines[line].start]
    return has_seacock(context, index)


def seacock_of(context: Context, index: int) -> str:
    """Address of the seacock on a discharge that has one."""
    return context.addresses[_on_hull(context, reversed(before_outlet(context, index)))[0]]


def before_outlet(context: Context, index: int) -> list[int]:
    """The parts between the pump, or the last joint, and a discharge."""
    network = context.network
    line = network.lines[network.line_of[index]].parts[:-1]
    return [i for i in line if i > network.pump_index]


def _on_hull(context: Context, inward: Iterable[int]) -> list[int]:
    """The first seacock inward from a through-hull past rigid fittings only; or none."""
    for index in inward:
        part = context.network.parts[index]
        if not _rigid(part):
            return [index] if isinstance(part, Seacock) else []
    return []


def _rigid(part: Part) -> bool:
    """Whether a part cannot come off as a hose can: a tee cannot if capped."""
    return isinstance(part, _RIGID) or (isinstance(part, Tee) and part.side == "capped")
