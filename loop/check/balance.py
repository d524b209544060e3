"""Findings about several units on one pump: their balance, and the effect of shut branches."""

import math
from collections.abc import Iterator
from functools import partial

import numpy as np

from loop.balancing.balance import Balance, balance
from loop.balancing.flow_limiting import FlowLimit
from loop.balancing.isolation import TRICKLE, bypasses
from loop.check.balancing_valves import balancing_valves
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.flow_fixes import flow_fix_count, more_for_all
from loop.check.maintenance import (
    maintenance,
    maintenance_or_valve,
    with_all_cleaned,
    with_bypasses_shut,
    with_rated_voltage,
)
from loop.check.throttle_actions import valve_actions
from loop.curve import Array
from loop.hydraulics import Cases, build, solve_flows
from loop.margins.speed import flow_limits, speed_limit
from loop.records import dataclass
from loop.words import Action

# Loss factor that stands for a shut valve: about 1e-5 of the flow remains.
_SHUT = 1e10
# Margin on the bounds below for tees and for valves in whole degrees: engineering estimate. None of
# 1,200 loops was off by more than a thousandth of it.
_SURELY = 1.02
# Relative difference below which speeds over their limits count as equal.
_ALIKE = 1e-6


def balance_findings(context: Context) -> Iterator[Draft]:
    """unbalanced, cannot-balance: only where branches share a pump."""
    if context.branch_balance is not None:
        yield from _unbalanced(context, context.branch_balance)


def all_served(context: Context) -> bool:
    """Whether every unit surely has its need; then `balance_findings` yields a note at most.

    A valve takes water only from its own branch, so balancing leaves the worst-supplied unit no
    less than it has now.
    """
    return all(unit.flow >= _SURELY * unit.needed_flow for unit in context.condensers)


def surely_slow(context: Context) -> bool:
    """Whether no part after the pump could run too fast; then `shut_findings` gives notes at most.

    Bound: every part carries the pump's whole flow. The pump moves no more when a branch is shut.
    """
    whole = np.full(len(context.network.parts), _SURELY * context.point.flow)
    return not _speeds_over_limit(context, whole).max() > 1


def _speeds_over_limit(context: Context, flows: Array) -> Array:
    """Speed over limit in each part after the pump, at these flows of the parts; (..., parts)."""
    over = flows / flow_limits(context.network)
    over[..., : context.network.pump_index + 1] = 0.0
    return over


def _unbalanced(context: Context, even: Balance) -> Iterator[Draft]:
    shares = context.flow_shares
    if even.share < 1:
        yield draft(
            "cannot-balance",
            "warning",
            context.manifold_place,
            {"share": even.share},
            partial(_before_balance, context),
            offer_count=partial(flow_fix_count, context),
        )
    elif context.useful_balance is not None:
        greedy, poor = max(shares, key=shares.__getitem__), min(shares, key=shares.__getitem__)
        yield draft(
            "unbalanced",
            "warning" if context.any_short else "note",
            context.manifold_place,
            {
                "case": _case(context, even),
                "greedy": greedy,
                "most": shares[greedy],
                "poor": poor,
                "least": shares[poor],
                "share": even.share,
                "total": even.total_flow,
            },
            partial(_even_out, context),
            offer_count=lambda: 1,
        )


def _even_out(context: Context) -> Iterator[Action]:
    """Clean or open the cause of the imbalance, or else set the balancing valves."""
    plan = maintenance(context, context.shortest_unit)
    yield from maintenance_or_valve(plan, context.shortest_unit)
    yield from balancing_valves(plan)


def _case(context: Context, even: Balance) -> str | None:
    """Whether a bypass takes the water, or valves that are too far shut keep it from the units."""
    # No unit has its need although a balance would give it to each: no unit is taking the water.
    alone = len(context.flow_shares) < 2 or max(context.flow_shares.values()) < 1
    if alone and bypasses(context.network):
        return "bypass"
    return "opens" if all(valve.opens for valve in even.throttles) else None


def _before_balance(context: Context) -> Iterator[Action]:
    """Steps needed before the branches can be balanced: maintenance, or more flow for all units."""
    plan = with_bypasses_shut(
        with_rated_voltage(with_all_cleaned(maintenance(context, context.shortest_unit)))
    )
    if plan.steps:
        after = balance(build(plan.job))
        if after is not None and after.share >= 1:
            yield plan.followed_by()
    yield from more_for_all(context)


@dataclass(frozen=True)
class _ShutCases:
    """Cases of shut branches: each branch alone, and all but one.

    All others lie between these: a shut branch sends its water to the rest. ``units``: names shut
    off in each case; ``loss``: loss factors, shape (cases, parts).
    """

    units: list[list[str]]
    loss: Array

    @staticmethod
    def of_context(context: Context) -> "_ShutCases":
        network = context.network
        branches: dict[str, list[str]] = {}
        for unit in context.running_units:
            branch = network.branches[network.condenser_part(unit.name)]
            if branch:
                branches.setdefault(branch, []).append(unit.name)
        every = list(branches.values())
        cases = [[names] for names in every]
        if len(every) > 2:
            cases += [[names for names in every if names is not left] for left in every]
        loss = np.ones((len(cases), len(network.parts)))
        for row, shut in enumerate(cases):
            loss[row, [network.condenser_part(names[0]) for names in shut]] = _SHUT
        return _ShutCases([[name for names in shut for name in names] for shut in cases], loss)


def shut_findings(context: Context) -> Iterator[Draft]:
    """branch-shut: flow of the remaining units with other branches shut off, worst case first."""
    network = context.network
    if not network.forks or not context.has_flow or not context.settled:
        return
    off = _ShutCases.of_context(context)
    if len(off.units) < 2:
        return
    every = np.where((off.loss > 1).any(axis=0), _SHUT, 1.0)
    loss = np.vstack([off.loss, every])
    *flows, none = solve_flows(network, Cases(loss=loss), start=context.point.line_flow).line_flow
    over = _speeds_over_limit(context, np.array(flows)[:, list(network.line_of)])
    # Among equal branches take the first, so that rounding does not choose.
    worst = int(np.argmax(over.max(axis=1) >= over.max() * (1 - _ALIKE)))
    index = int(over[worst].argmax())
    most = float(over[worst, index])
    others = [unit.name for unit in context.running_units if unit.name not in off.units[worst]]
    fast = most > 1
    limit = speed_limit(network.parts[index], suction=False)
    round_ = float(none[network.pump_line])
    dead = round_ < TRICKLE * context.point.flow
    yield draft(
        "branch-shut",
        "warning" if fast else "note",
        context.place(index) if fast else context.manifold_place,
        {
            "case": "dead" if dead else "bypass-short" if context.any_marginal else "bypass",
            "off": tuple(off.units[worst]),
            "others": tuple(others),
            "flows": tuple(context.unit_flow(flows[worst], name) for name in others),
            "speed": most * limit if fast else None,
            "limit": limit if fast else None,
            "part": context.addresses[index] if fast else None,
            "round": None if dead else round_,
        },
        partial(_speed_limiting_valves, context, off) if fast else None,
        basis=("speed limits",) if fast else (),
    )


def _speed_limiting_valves(context: Context, off: _ShutCases) -> Iterator[Action]:
    """The valves that keep speeds within their limits whichever branches are shut."""
    network = context.network
    if context.useful_balance is not None:
        # Never set the same valve in two ways: if a balance needs these valves, use its settings.
        yield from _even_out(context)
        if context.any_short:
            return
    most = flow_limits(network)
    most[: network.pump_index + 1] = math.inf
    limits = [
        FlowLimit(number, line.branch, float(most[list(line.parts)].min()))
        for number, line in enumerate(network.lines)
        if np.isfinite(most[list(line.parts)]).any()
    ]
    held = context.valves_for_limits(limits, off.loss)
    valves = None if held is None else valve_actions(context, held.throttles)
    if valves is not None:
        yield valves
