"""Other pumps that may give the units their need: from the catalogue, or rated for a duty."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from loop.check.context import Context
from loop.check.job_changes import Care, pump_address
from loop.check.throttle_actions import settings
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


def stronger_pump(care: Care) -> Iterator[Action]:
    """Catalogue pumps on the same supply that give each unit its need, weakest first."""
    yield from islice(care.that_cure(pumps_like(care)), _ENOUGH)


def pumps_like(care: Care) -> list[ChangePump]:
    """Pumps on the same supply, weakest first, preceded by the present one new, if worn."""
    return [_change(care, pump) for pump in [*anew(care.job), *others_on_supply(care.job.pump)]]


def stronger_ones(care: Care) -> list[ChangePump]:
    """Those stronger than the present pump, weakest first, preceded by it new, if worn."""
    now = care.job.pump
    stronger = [one for one in others_on_supply(now) if one.strength > now.curve.strength]
    return [_change(care, pump) for pump in [*anew(care.job), *stronger]]


def anew(job: Job) -> Iterator[PumpCurve]:
    """The present pump, if the baseline shows it worn and its supply suits it."""
    if job.fitted.pump < _WORN and supply_suits(job.pump.power_supply, job.pump.curve):
        yield job.pump.curve


def renewed_pump(care: Care) -> Iterator[Action]:
    """A new pump of the same kind where it is worn, or one for a supply meant for another kind.

    Only where that suffices.
    """
    pump = care.job.pump
    yield from care.that_cure(_change(care, one) for one in anew(care.job))
    if is_other_supply(pump.curve, pump.voltage):
        yield from stronger_pump(care)


def smaller_pumps(care: Care) -> Iterator[Action]:
    """Weaker pumps that give each unit its need, weakest first; a single one before several."""
    pump_now, now = care.job.pump, care.job.pump.curve
    others = others_on_supply(pump_now)
    if pump_now.count > 1:
        every = sorted([now, *others], key=lambda one: one.strength)
        yield from care.that_cure(
            replace(_change(care, pump), single=True)
            for pump in every
            if pump.strength < pump_now.count * now.strength
        )
    weaker = (pump for pump in others if pump.strength < now.strength)
    yield from care.that_cure(_change(care, pump) for pump in weaker)


def one_pump(care: Care) -> Iterator[Action]:
    """One alone of several pumps, if it gives each unit its need."""
    alone = replace(_change(care, care.job.pump.curve), single=True)
    yield from care.that_cure([alone])


def rated_pump(care: Care) -> Iterator[Action]:
    """The pump that gives every unit its need at the low edge; alone, or with balancing valves."""
    context = care.context
    drawn = care.drawn
    # Valves that balance a loop do so with any pump, except for small shifts in the shares of loss
    # with flow.
    valves = None
    if drawn is not None and context.even is not None:
        valves = settings(context, drawn.throttles)
    duty = _duty_of_another(care) if drawn is None else (drawn.pump_head, drawn.total_flow)
    if duty is None:
        return
    head, flow = duty
    for _ in range(_RAISES):
        pump = rated(context, head, flow)
        for changes in ([pump], [pump, valves]) if valves is not None else ([pump],):
            if care.cures(*changes):
                yield care.with_(*changes)
                return
        head *= _RAISE


def _duty_of_another(care: Care) -> tuple[float, float] | None:
    """Head [m] and flow [m³/s] of the weakest pump for another supply that would suffice.

    Needed where air comes and goes with the flow, so that no balance gives the duty.
    """
    every = sorted(map(load_pump, catalogue()), key=lambda one: one.strength)
    changes = [
        replace(_change(care, pump), as_rated=True)
        for pump in every
        if pump.strength > care.job.pump.curve.strength
    ]
    if not changes or not care.cures(changes[-1]):
        return None  # if the strongest does not cure, no other does
    for change in changes:
        if care.cures(change):
            network = build(care.with_(change).apply(care.context.job))
            flows = solve_flows(network)
            return float(flows.pump_head[0]), float(flows.line_flow[0, network.pump_line])
    return None


def rated(context: Context, head: float, flow: float, self_priming: bool = False) -> FitPumpRated:
    """A pump rated for a duty, rounded up in the job's units."""
    units = context.job.units
    return FitPumpRated(
        pump_address(context),
        round_up(head, "head", units),
        round_up(flow, "flow", units),
        self_priming,
    )


def _change(care: Care, pump: PumpCurve) -> ChangePump:
    own = None if pump.name in catalogue() else pump
    return ChangePump(pump_address(care.context), pump.name, own)


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
