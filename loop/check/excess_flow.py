"""Findings about units with far more water than they need, and what reduces it."""

from collections.abc import Iterator
from functools import partial

from loop.balancing.balance import TABLE_MARGIN
from loop.check.context import EXCESS, Context
from loop.check.doubtful_needs import far_too_small
from loop.check.drafts import Draft, draft
from loop.check.plan import Plan
from loop.check.pump_changes import rated, smaller_pumps
from loop.check.result import CondenserResult
from loop.check.scoops import flush_grate
from loop.check.throttle_actions import valve_actions
from loop.margins.speed import SUCTION_MAX, inlet_speeds, part_speeds
from loop.words import Action, Place

# Flow over need from which excess is reported, and from which it is wrong: engineering estimates.
# Pumps come in steps of nearly twice the flow and a loop wants spare, so the right pump may give a
# unit up to twice its need; at three times a smaller one would surely do. A tube or hose in which
# the water is too fast has its own finding.
EXCESS_NOTE, EXCESS_WARNING = 2.0, 3.0


def excess_findings(context: Context) -> Iterator[Draft]:
    """flow-excess; one, for the unit with the most, where all of several units have too much.

    A warning at `EXCESS_WARNING`, or where a pump that is too large makes the water too fast
    somewhere.
    """
    if not context.has_flow:
        return
    over = [c for c in context.condensers if _has_excess(context, c)]
    every = len(over) == len(context.condensers) > 1
    if every:
        over = [max(over, key=lambda c: c.flow / c.needed_flow)]
    harms = bool(over) and _any_too_fast(context) and pump_too_large(context)
    for unit in over:
        wrong = unit.flow > EXCESS_WARNING * unit.needed_flow or harms
        yield draft(
            "flow-excess",
            "warning" if wrong else "note",
            Place(unit=unit.name),
            {
                "case": _case(context, unit) or ("every" if every else None),
                "unit": unit.name,
                "flow": unit.flow,
                "needed": unit.needed_flow,
                "times": unit.flow / unit.needed_flow,
                "most": EXCESS * unit.needed_flow,
            },
            partial(_no_scoop_first if wrong else less_flow, context, unit),
            offer_count=lambda: 1,
        )


def _has_excess(context: Context, unit: CondenserResult) -> bool:
    """Whether a unit has far more than it needs; an implausibly small need does not count."""
    return unit.flow > EXCESS_NOTE * unit.needed_flow and not far_too_small(context, unit)


def _case(context: Context, unit: CondenserResult) -> str | None:
    """Why a unit with excess flow is not throttled by itself, where it is not."""
    if context.useful_balance is not None:
        return "balanced"
    return None if unit.name in context.flow_shares else "shared"


def pump_too_large(context: Context) -> bool:
    """Whether every unit has far more than it needs, so that the fix is a smaller pump."""
    over = all(_has_excess(context, unit) for unit in context.condensers)
    return over and context.smaller_duty is not None


def slowing_fix_count(context: Context) -> int:
    """How many ways to offer: one where the pump is too large, since a smaller one is the fix."""
    return 1 if pump_too_large(context) else 2


def slower_first(context: Context, others: Iterator[Action]) -> Iterator[Action]:
    """Ways to slow the water before others: no scoop, a smaller pump where one is too large."""
    yield from flush_grate(context)
    if pump_too_large(context):
        yield from smaller_pumps(Plan(context, ()))
    yield from others


def _any_too_fast(context: Context) -> bool:
    """Whether the water is too fast anywhere."""
    point = context.point
    return any(one.speed > one.most for one in part_speeds(point)) or any(
        speed > SUCTION_MAX for _, speed in inlet_speeds(point)
    )


def _no_scoop_first(context: Context, unit: CondenserResult) -> Iterator[Action]:
    """Flush grate first: a haul-out is only for findings that are warnings."""
    yield from flush_grate(context)
    yield from less_flow(context, unit)


def less_flow(context: Context, unit: CondenserResult) -> Iterator[Action]:
    """A smaller pump where every unit has excess; the valves that throttle this unit's."""
    if context.useful_balance is not None:
        left = context.unit_flow(context.useful_balance.line_flow, unit.name)
        valves = valve_actions(context, context.useful_balance.throttles)
        if valves is not None and left <= (1 - TABLE_MARGIN) * EXCESS * unit.needed_flow:
            yield valves
            return
    duty = context.smaller_duty
    if duty is not None:
        yield from smaller_pumps(Plan(context, ()))
    if context.useful_balance is None:
        held = context.limited_flows
        valves = None if held is None else valve_actions(context, held.throttles)
        if valves is not None:
            yield valves
    if (
        duty is not None
        and context.unit_flow(duty.line_flow, unit.name) <= EXCESS * unit.needed_flow
    ):
        yield rated(context, duty.pump_head, duty.total_flow)
