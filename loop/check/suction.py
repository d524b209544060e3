"""Findings about the intake, and about the heights of pump and strainer."""

import math
from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.excess_flow import EXCESS_NOTE
from loop.check.pump_changes import rated
from loop.check.scoops import scoop_alternatives
from loop.check.self_priming import surely_primes
from loop.check.suction_high_points import no_higher, rising_line
from loop.check.suction_pressure import pressure_findings
from loop.check.vent_height import NEAR
from loop.hydraulics import installed_pump
from loop.job.attitude import lowest_immersion
from loop.margins.suction import (
    IntakeDepth,
    intake_depth,
    priming_reach,
    pump_exposed,
)
from loop.parts import Condenser, Hose, Strainer
from loop.parts.friction import ROUNDING
from loop.words import Action
from loop.words.actions import (
    LowerIntake,
    MoveIntake,
    MovePart,
    MovePump,
    MoveStrainer,
    together,
)
from loop.words.numbers import round_down, whole_down

# Depth of the pump's port at which its casing is covered [m]: engineering estimate.
_COVERED = 0.05


def suction_findings(context: Context) -> Iterator[Draft]:
    """intake-shallow, intake-facing-aft, pump-above-water, strainer-above-water, and pressure."""
    yield from _intake(context)
    yield from _heights(context)
    if context.has_flow:
        yield from pressure_findings(context)


def _intake(context: Context) -> Iterator[Draft]:
    intake, boat = context.job.intake, context.job.boat
    depth = intake_depth(intake, boat, context.point.flow)
    if depth.short_by > ROUNDING:
        once_right, out = _depth_once_fixed(context), depth.worst <= 0
        docked = depth.at_rest <= 0
        yield draft(
            "intake-shallow",
            "danger" if out else "warning",
            context.place(0),
            {
                "case": "docked" if docked else "out" if out else None,
                "above": intake.height if docked and intake.height > 0 else None,
                "heel": abs(boat.heel) or None,
                "trim": abs(boat.trim) or None,
                "waves": boat.wave_height or None,
                "light": boat.light_rise or None,
                "worst": depth.worst,
                "needed": depth.needed,
                "short": depth.short_by,
                "lower": once_right.short_by,
            },
            partial(_deeper, context, once_right),
        )
    if intake.facing == "aft":
        lost = -context.network.start_head
        yield draft(
            "intake-facing-aft",
            "warning" if lost > 0 else "note",
            context.place(0),
            {
                "lost": lost if lost > 0 else None,
                "speed": boat.speed if lost > 0 else None,
            },
            fixed_candidates(*scoop_alternatives(context.addresses[0])),
        )


def _depth_once_fixed(context: Context) -> IntakeDepth:
    """Intake depth against its need once everything else that is wrong has been fixed.

    A boat is hauled once: no air may be drawn at the greatest flow of this pump, nor at that of
    another that is not too large for the units.
    """
    most = float(installed_pump(context.network).last_flow[0])
    needs = EXCESS_NOTE * sum(unit.needed_flow for unit in context.condensers)
    flow = max(context.point.flow, most, needs)
    return intake_depth(context.job.intake, context.job.boat, flow)


def _deeper(context: Context, depth: IntakeDepth) -> Iterator[Action]:
    """Move the intake toward the middle, where the boat lifts it less; or deeper on the hull."""
    intake, boat, units = context.job.intake, context.job.boat, context.job.units
    address = context.addresses[0]
    for axis, angle in (("off_centre", boat.heel), ("fore_aft", boat.trim)):
        lifted = math.sin(abs(angle))
        now = abs(getattr(intake, axis) or 0.0)
        nearest = now - (depth.short_by / lifted if lifted > 0 else math.inf)
        if nearest >= 0:
            to = max(round_down(nearest, "height", units), 0.0)
            yield MoveIntake(address, **{axis: to})
    yield LowerIntake(address, whole_down(intake.height - depth.short_by, units))


def _heights(context: Context) -> Iterator[Draft]:
    network, boat = context.network, context.job.boat
    pump = network.pump
    height = network.heights[network.pump_index]
    immersion = lowest_immersion(height, pump.off_centre, pump.fore_aft, context.boat_without_waves)
    own = pump.curve.priming_lift
    least = -surely_primes(pump) if pump.curve.self_priming else _COVERED
    if immersion < least - ROUNDING:
        out = pump_exposed(pump, height, boat)
        case = "attitude" if height <= 0 else None
        if pump.curve.self_priming:
            case = "lift" if not out else "stated" if own is not None else "never"
        elif not out:
            case = "barely"
        yield draft(
            "pump-above-water",
            "danger" if out else "warning",
            context.place(network.pump_index),
            {
                "case": case,
                "above": max(-immersion, 0.0),
                "depth": immersion if case == "barely" else None,
                "least": abs(least),
                "reach": priming_reach(pump) if case == "never" else None,
            },
            partial(_pump_lower, context, height + immersion - least),
        )
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer) and index < network.pump_index:
            above = network.heights[index] + boat.light_rise
            if above > ROUNDING:
                yield draft(
                    "strainer-above-water",
                    "warning",
                    context.place(index),
                    {"part": context.addresses[index], "above": above},
                    partial(_strainer_lower, context, index),
                )


def _strainer_lower(context: Context, index: int) -> Iterator[Action]:
    """The strainer low enough for a line that rises to the pump; or at least below the water."""
    address = context.addresses[index]
    level = round_down(-context.job.boat.light_rise, "height", context.job.units)
    for action in rising_line(context, context.air_paths[0].suction):
        mounts = [step for step in action.steps if isinstance(step, MoveStrainer)]
        if any(step.part == address and step.height <= level for step in mounts):
            yield action
            return
    yield MoveStrainer(address, level)


def _pump_lower(context: Context, height: float) -> Iterator[Action]:
    """The pump mounted lower, and the line before it no higher; or a self-priming pump.

    A pump behind a unit is in the wrong place: move it to the end of a hose before the unit, at
    that height or lower.
    """
    pump, boat = context.network.pump, context.job.boat
    if not pump.curve.self_priming:
        # If its distance off center is not stated, allow for a small one.
        turns_by = ((pump.off_centre, boat.heel), (pump.fore_aft, boat.trim))
        spare = [NEAR * math.sin(abs(angle)) for place, angle in turns_by if place is None]
        height -= max(max(spare, default=0.0) - _COVERED, 0.0)
    level = whole_down(height, context.job.units)
    before = list(enumerate(context.network.parts[: context.network.pump_index]))
    unit = next((index for index, part in before if isinstance(part, Condenser)), 0)
    for index, part in reversed(before[:unit]):
        if isinstance(part, Hose) and context.network.heights[index] <= level:
            yield MovePart(context.pump_address, context.addresses[index])
            break
    lower = MovePump(context.pump_address, level)
    yield lower
    yield together([lower, *no_higher(context, level)])
    if context.has_flow and not pump.curve.self_priming:
        yield rated(context, context.point.pump_head, context.point.flow, self_priming=True)
