"""Findings about where parts are in the hull: the effect of heel, and parts side by side."""

import math
from collections.abc import Iterator

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.through_hulls import has_seacock
from loop.check.vent_height import (
    HALF_BEAM,
    NEAR,
    deepest,
    outlets_of,
    tells_place,
    vent_height,
)
from loop.job.attitude import lowest_immersion
from loop.margins.suction import intake_depth, needed_submergence
from loop.parts import Discharge, Intake, Part, Pump, VentedLoop
from loop.units import parse
from loop.words import Level

# Distance from the centerline [m] of most parts of a loop: engineering estimate.
_ABOARD = 3.0
# Distance between intake and discharge [m], through the water, within which warm water and its
# bubbles, which float, come back: engineering estimate.
_APART = 0.6
# Distance [m] that a discharge's bubbles go along the hull with the stream: engineering estimate.
_STREAM = 3.0

# Speed [m/s] from which a hull planes, how far it then lifts its intake [m], and how far load alone
# may make it rise [m]: engineering estimates.
_PLANES, _LIFTED, _LIGHT = parse("20 knot", "speed"), 0.3, 0.1

# Name of a kind of part in the cases of a finding, if not its own.
_WORDS = {"pump": "", "vented loop": "vent"}


def place_findings(context: Context) -> Iterator[Draft]:
    """place-unstated, rise-unstated, discharge-beside-intake."""
    boat = context.job.boat
    yield from _rise(context)
    yield from _unstated(context, "off_centre", abs(boat.heel))
    yield from _unstated(context, "fore_aft", abs(boat.trim))
    for index, part in enumerate(context.network.parts):
        if isinstance(part, Discharge):
            yield from _near_intake(context, index, part)


def _rise(context: Context) -> Iterator[Draft]:
    """A planing boat whose file does not state the rise that may uncover the intake.

    Trim counts at the intake's place, but does not say how far planing lifts the whole boat. An
    intake that is too shallow without it hangs on it too: its cure does not cause this finding.
    """
    boat, intake = context.job.boat, context.job.intake
    room = -intake_depth(intake, boat, context.point.flow).short_by
    if boat.speed > _PLANES and boat.light_rise <= _LIGHT and room < _LIFTED:
        yield draft(
            "rise-unstated",
            "warning",
            context.place(0),
            {
                "case": "shallow" if room <= 0 else None,
                "speed": boat.speed,
                "room": room if room > 0 else None,
                "lifted": _LIFTED,
            },
        )


def _unstated(context: Context, axis: str, angle: float) -> Iterator[Draft]:
    """The parts that heel or trim may move too far; placed at the likeliest, all listed."""
    parts = context.network.parts
    spare = {
        index: _harmless_distance(context, index, part)
        for index, part in enumerate(parts)
        if isinstance(part, Intake | Pump | Discharge | VentedLoop)
        and _place_unknown(context, index, axis)
    }
    counts = {index: own for index, own in spare.items() if 0 < own < _ABOARD * math.sin(angle)}
    if not counts:
        return
    plausible = {index: _plausible(parts[index]) for index in counts}
    first = min(counts, key=lambda index: counts[index] / plausible[index])
    room, likely = counts[first] / math.sin(angle), plausible[first]
    level: Level = "warning" if room < likely else "note"
    what = _WORDS.get(parts[first].kind, parts[first].kind)
    yield draft(
        "place-unstated",
        level,
        context.place(first),
        {
            "case": _case(what, axis),
            "part": context.addresses[first],
            "parts": tuple(context.addresses[index] for index in counts),
            "angle": angle,
            "room": room,
            "likely": likely if level == "warning" else None,
        },
    )


def _plausible(part: Part) -> float:
    """Plausible distance of a part from the middle [m]: an outlet and its vent are at the side."""
    return HALF_BEAM if isinstance(part, Discharge | VentedLoop) else NEAR


def _place_unknown(context: Context, index: int, axis: str) -> bool:
    """Whether a part's place is unknown; an outlet may tell that of a vented loop."""
    part = context.network.parts[index]
    if isinstance(part, VentedLoop) and any(
        tells_place(outlet, axis) for outlet in outlets_of(context, index)
    ):
        return False
    return getattr(part, axis) is None


def _case(kind: str, axis: str) -> str | None:
    """The case of a finding: the part, and for trim also the trim wording of the fix."""
    if axis == "off_centre":
        return kind or None
    return f"trim-{kind} trim" if kind else "trim"


def _harmless_distance(context: Context, index: int, part: Part) -> float:
    """How far heel or trim may still move a part [m] before it does harm; 0 if it cannot."""
    boat, water = context.job.boat, context.network.heights[index]
    match part:
        case Discharge():
            return 0.0 if has_seacock(context, index) else -deepest(part, boat)
        case Pump():
            deep = lowest_immersion(
                water, part.off_centre, part.fore_aft, context.boat_without_waves
            )
            return 0.0 if part.curve.self_priming else deep
        case Intake():
            deep = lowest_immersion(part.height, part.off_centre, part.fore_aft, boat)
            return deep - needed_submergence(part.inner_bore, context.point.flow)
        case VentedLoop():
            vent = vent_height(context, index)
            reached = any(deepest(outlet, boat) > 0 for outlet in outlets_of(context, index))
            return vent.height - vent.least if reached else 0.0
        case _:
            return 0.0


def _near_intake(context: Context, index: int, part: Discharge) -> Iterator[Draft]:
    intake = context.job.intake
    ends = (intake, intake.height), (part, min(part.height, 0.0))
    known = [
        (end.off_centre, end.fore_aft, height)
        for end, height in ends
        if end.off_centre is not None and end.fore_aft is not None
    ]
    if len(known) < 2:
        return
    across, ahead, up = (there - here for here, there in zip(*known, strict=True))
    apart = math.hypot(across, ahead, up)
    beside = apart < _APART
    if beside or (math.hypot(across, up) < _APART and 0 < ahead < _STREAM):
        yield draft(
            "discharge-beside-intake",
            "warning" if beside else "note",
            context.place(index),
            {
                "case": None if beside else "ahead",
                "part": context.addresses[index],
                "apart": apart,
                "ahead": ahead if ahead > 0 else None,
                "least": _APART,
            },
        )
