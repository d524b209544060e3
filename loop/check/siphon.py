"""Findings about legs that give their fall back on some days only: a loop of two minds."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.result import CondenserResult
from loop.hydraulics.leg_report import LegState
from loop.job import TRADE_BORES
from loop.parts import Hose
from loop.words import Action
from loop.words.actions import ChangeHose

# Share of the shut-off head from which what a leg's air takes is worth saying where water is short:
# engineering estimate.
_WORTH = 0.05


def siphon_findings(context: Context) -> Iterator[Draft]:
    """siphon-uncertain: units short as the loop starts, for want of a leg that runs full."""
    said = set()
    for unit in context.condensers:
        leg = _costliest(context, unit) if unit.flow_low < unit.needed_flow else None
        some_days = unit.flow < unit.needed_flow <= unit.flow_best
        if leg is not None and (some_days or leg.to_part not in said):
            said.add(leg.to_part)
            yield _uncertain(context, unit, leg, some_days)


def _costliest(context: Context, unit: CondenserResult) -> LegState | None:
    """The leg on a unit's way whose air takes the most head; None where none takes much."""
    network = context.network
    branch = network.branches[network.condenser_part(unit.name)]
    legs = [leg for leg in context.point.legs if _on_way(leg.branch, branch)]
    leg = max(legs, key=lambda one: one.head_taken, default=None)
    return leg if leg and leg.head_taken > _WORTH * context.pump.shutoff_head else None


def _uncertain(context: Context, unit: CondenserResult, leg: LegState, some_days: bool) -> Draft:
    at = context.at(context.network.places.index(leg.to_part))
    return draft(
        "siphon-uncertain",
        "warning",
        replace(at, unit=unit.name) if some_days else at,
        {
            "case": None if some_days else "air",
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
        partial(_smaller, context, leg),
    )


def _on_way(leg: str, branch: str) -> bool:
    """Whether a leg's branch lies on the way to a unit's."""
    return leg == "" or branch == leg or branch.startswith(f"{leg} / ")


def _smaller(context: Context, leg: LegState) -> Iterator[Action]:
    """Smaller hose from the high point on, the largest first: its water clears the air."""
    network = context.network
    first, last = network.places.index(leg.from_part), network.places.index(leg.to_part)
    hoses = [
        index
        for index in range(first, last + 1)
        if isinstance(network.parts[index], Hose)
        and network.line_of[index] == network.line_of[last]
    ]
    if not hoses:
        return
    widest = max(network.parts[index].inner_bore for index in hoses)
    for bore in reversed([bore for bore in TRADE_BORES if bore < widest]):
        yield ChangeHose(tuple(context.addresses[index] for index in hoses), bore)
