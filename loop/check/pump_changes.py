"""Other pumps that may give the units their need: from the catalogue, or rated for a duty."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from loop.check.context import Context
from loop.check.plan import Plan
from loop.check.throttle_actions import valve_actions
from loop.hydraulics import build, solve_flows
from loop.job import Job
from loop.parts import Pump
from loop.pumps import PumpCurve, catalogue, load_pump
from loop.pumps.supply import PowerSupply, is_other_supply, supply_suits
from loop.words.actions import Action, ChangePump, FitPumpRated
from loop.words.numbers import round_up

# How often a rated pump's head is raised if the first falls short, and by what factor.
_RAISES, _RAISE = 6, 1.04
# Pumps that suffice and are tried in full: a stronger one brings whatever a weaker one brings.
_ENOUGH = 4
# Fitted pump speed over that of its curve below which the pump is worn or fouled, not merely within
# tolerance: engineering estimate.
_WORN = 0.95


def stronger_pump(plan: Plan) -> Iterator[Action]:
    """Catalogue pumps on the same supply that give each unit its need, weakest first."""
    yield from islice(plan.that_cure(pumps_on_supply(plan)), _ENOUGH)


def pumps_on_supply(plan: Plan) -> list[ChangePump]:
    """Pumps on the same supply, weakest first, preceded by the present one new, if worn."""
    return [
        _pump_change(plan, pump) for pump in [*new_pump(plan.job), *others_on_supply(plan.job.pump)]
    ]


def stronger_or_new(plan: Plan) -> list[ChangePump]:
    """Those stronger than the present pump, weakest first, preceded by it new, if worn."""
    now = plan.job.pump
    stronger = [one for one in others_on_supply(now) if one.strength > now.curve.strength]
    return [_pump_change(plan, pump) for pump in [*new_pump(plan.job), *stronger]]


def new_pump(job: Job) -> Iterator[PumpCurve]:
    """The present pump, if the baseline shows it worn and its supply suits it."""
    if job.fitted.pump < _WORN and supply_suits(job.pump.power_supply, job.pump.curve):
        yield job.pump.curve


def renewed_pump(plan: Plan) -> Iterator[Action]:
    """A new pump of the same kind where it is worn, or one for a supply meant for another kind.

    Only where that suffices.
    """
    pump = plan.job.pump
    yield from plan.that_cure(_pump_change(plan, one) for one in new_pump(plan.job))
    if is_other_supply(pump.curve, pump.voltage):
        yield from stronger_pump(plan)


def smaller_pumps(plan: Plan) -> Iterator[Action]:
    """Weaker pumps that give each unit its need, weakest first; a single one before several."""
    pump_now, now = plan.job.pump, plan.job.pump.curve
    others = others_on_supply(pump_now)
    if pump_now.count > 1:
        every = sorted([now, *others], key=lambda one: one.strength)
        yield from plan.that_cure(
            replace(_pump_change(plan, pump), single=True)
            for pump in every
            if pump.strength < pump_now.count * now.strength
        )
    weaker = (pump for pump in others if pump.strength < now.strength)
    yield from plan.that_cure(_pump_change(plan, pump) for pump in weaker)


def one_pump(plan: Plan) -> Iterator[Action]:
    """One alone of several pumps, if it gives each unit its need."""
    alone = replace(_pump_change(plan, plan.job.pump.curve), single=True)
    yield from plan.that_cure([alone])


def rated_pump(plan: Plan) -> Iterator[Action]:
    """The pump that gives every unit its need at the low edge; alone, or with balancing valves."""
    context = plan.context
    drawn = plan.duty
    # Valves that balance a loop do so with any pump, except for small shifts in the shares of loss
    # with flow.
    valves = None
    if drawn is not None and context.branch_balance is not None:
        valves = valve_actions(context, drawn.throttles)
    duty = _other_supply_duty(plan) if drawn is None else (drawn.pump_head, drawn.total_flow)
    if duty is None:
        return
    head, flow = duty
    for _ in range(_RAISES):
        pump = rated(context, head, flow)
        for changes in ([pump], [pump, valves]) if valves is not None else ([pump],):
            if plan.cures(*changes):
                yield plan.followed_by(*changes)
                return
        head *= _RAISE


def _other_supply_duty(plan: Plan) -> tuple[float, float] | None:
    """Head [m] and flow [m³/s] of the weakest pump for another supply that would suffice.

    Needed where air comes and goes with the flow, so that no balance gives the duty.
    """
    every = sorted(map(load_pump, catalogue()), key=lambda one: one.strength)
    changes = [
        replace(_pump_change(plan, pump), as_rated=True)
        for pump in every
        if pump.strength > plan.job.pump.curve.strength
    ]
    if not changes or not plan.cures(changes[-1]):
        return None  # if the strongest does not cure, no other does
    for change in changes:
        if plan.cures(change):
            network = build(plan.followed_by(change).apply(plan.context.job))
            flows = solve_flows(network)
            return float(flows.pump_head[0]), float(flows.line_flow[0, network.pump_line])
    return None


def rated(context: Context, head: float, flow: float, self_priming: bool = False) -> FitPumpRated:
    """A pump rated for a duty, rounded up in the job's units."""
    units = context.job.units
    return FitPumpRated(
        context.pump_address,
        round_up(head, "head", units),
        round_up(flow, "flow", units),
        self_priming,
    )


def _pump_change(plan: Plan, pump: PumpCurve) -> ChangePump:
    own = None if pump.name in catalogue() else pump
    return ChangePump(plan.context.pump_address, pump.name, own)


def others_on_supply(now: Pump, supply: PowerSupply | None = None) -> list[PumpCurve]:
    """Other catalogue pumps for this one's supply, or `supply`; weakest first.

    Self-priming if this one is.
    """
    there = supply or now.power_supply
    like = [
        pump
        for pump in map(load_pump, catalogue())
        if pump.name != now.curve.name
        and supply_suits(there, pump)
        and (pump.self_priming or not now.curve.self_priming)
    ]
    return sorted(like, key=lambda one: one.strength)
