"""Findings about loops with two states: legs that run full only at times, or two balances."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from loop.check.bore_steps import adapters_for
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.falling_legs import costliest_leg, dear_legs, runs_full
from loop.check.result import CondenserResult
from loop.hydraulics.leg_report import LegState
from loop.words import Action, Place
from loop.words.actions import together

# Flows of a unit that differ by less than this share of its need count as one answer.
_APART = 0.02


# Case for a leg that holds air, by whether a vented loop is the reason.
_AIR = {False: "air", True: "vented"}


def siphon_findings(context: Context) -> Iterator[Draft]:
    """siphon-uncertain: a unit misses its need at the low edge, and a leg on its path holds air.

    And leg-holds-air: any other leg down to an outlet whose air costs much head.
    """
    if not context.has_flow:
        return
    said = set()
    for unit in context.condensers:
        leg = costliest_leg(context, unit) if unit.flow_low < unit.needed_flow else None
        some_days = unit.flow < unit.needed_flow <= unit.flow_best
        if leg is not None and (some_days or leg.to_part not in said):
            said.add(leg.to_part)
            yield _uncertain(context, unit, leg, some_days)
    for leg in dear_legs(context):
        if leg.outlet is not None and leg.to_part not in said:
            yield _full_of_air(context, leg)


def two_answers(context: Context) -> Iterator[Draft]:
    """two-answers: a network that balances in two ways; the worse is judged."""
    other = context.point.other
    if other is None:
        return
    for unit in context.condensers:
        there = other.flow_through(other.network.condenser_part(unit.name))
        if abs(there - unit.flow) > _APART * unit.needed_flow:
            yield draft(
                "two-answers",
                "warning" if unit.flow_low < unit.needed_flow else "note",
                Place(unit=unit.name),
                {
                    "unit": unit.name,
                    "flow": unit.flow,
                    "other": there,
                    "needed": unit.needed_flow,
                },
            )


def _uncertain(context: Context, unit: CondenserResult, leg: LegState, some_days: bool) -> Draft:
    at = context.place(context.network.places.index(leg.to_part))
    return draft(
        "siphon-uncertain",
        "warning",
        replace(at, unit=unit.name) if some_days else at,
        {
            "case": None if some_days else _AIR[leg.decides == "vent"],
            "part": at.part,
            "unit": unit.name,
            "flow": unit.flow,
            "best": unit.flow_best,
            "needed": unit.needed_flow,
            "fall": leg.top - leg.bottom,
            "taken": leg.head_taken,
            "froude": leg.froude,
            "clears": leg.clears[1],
        },
        partial(runs_full, context, leg),
    )


def _full_of_air(context: Context, leg: LegState) -> Draft:
    at = context.place(context.network.places.index(leg.to_part))
    return draft(
        "leg-holds-air",
        "note",
        at,
        {
            "case": {"filling": "filling", "vent": "vented"}.get(leg.decides),
            "part": at.part,
            "fall": leg.top - leg.bottom,
            "taken": leg.head_taken,
            "head": context.point.pump_head,
            "bore": next((action.bore for action in runs_full(context, leg)), None),
            "froude": leg.froude,
            "clears": leg.clears[1],
        },
        partial(_runs_full, context, leg),
    )


def _runs_full(context: Context, leg: LegState) -> Iterator[Action]:
    """Smaller hose from the high point on, with adapters at its ends."""
    for action in runs_full(context, leg):
        changed = {context.addresses.index(part): action.bore for part in action.parts}
        yield together([action, *adapters_for(context, changed)])
