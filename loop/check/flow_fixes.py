"""Candidate cures for too little flow, the smallest change first."""

import math
from collections.abc import Iterator
from copy import copy
from itertools import islice, tee

from loop.check.balanced_hoses import hose_and_valves, narrow_and_valves, trunk_and_valves
from loop.check.balancing_valves import balancing_valves, valves_after
from loop.check.context import Context
from loop.check.discharge_fixes import discharges_at_water, lower_discharges, lower_vent
from loop.check.excessive_losses import replace_lossy_parts
from loop.check.falling_legs import costliest_leg, runs_full, sweep_legs
from loop.check.hose_changes import larger_hose, narrow_hoses, one_hose, trunk_hose
from loop.check.inlets import wider_inlets
from loop.check.lower_routes import reroute_lower
from loop.check.maintenance import (
    maintenance,
    maintenance_or_valve,
    with_all_cleaned,
    with_bypasses_shut,
    with_check_valves_out,
    with_rated_voltage,
)
from loop.check.plan import Plan
from loop.check.pump_and_hose import pump_and_bore, pump_and_hose
from loop.check.pump_changes import rated_pump, renewed_pump, stronger_pump
from loop.check.result import CondenserResult
from loop.check.scoops import turn_scoop
from loop.check.speed import wider_where_fast
from loop.check.trapped_air import fit_bleeds, fit_one_bleed
from loop.check.work import least_work_first
from loop.parts import Intake, Seacock
from loop.parts.step import narrower
from loop.words.actions import Action, CleanGrate, FitFullBore, SetValve
from loop.words.base import part_at


def more_flow(context: Context, number: int) -> Iterator[Action]:
    """Changes that give every unit its need at the low end of the band.

    A unit behind a shut valve has its own; all others share those of the unit that is shortest.
    """
    shut = context.shut_parts_before(context.condensers[number].name)
    yield from open_shut_parts(context, shut) if shut else more_for_all(context)


def more_for_all(context: Context) -> Iterator[Action]:
    """Changes that give every running unit its need at the low end of the band."""
    # A copy of the `tee` starts over without searching again.
    kept = context.shared_fixes.setdefault("more flow", tee(_more_for_all(context), 1)[0])
    yield from copy(kept)


def flow_fix_count(context: Context) -> int:
    """How many ways to more flow to offer: one if maintenance or the balance alone is enough."""
    balanced = context.useful_balance is not None and context.useful_balance.enough
    plan = maintenance(context, context.shortest_unit)
    cured = any(plan.steps_that_cure()) or any(with_all_cleaned(plan).steps_that_cure())
    return 1 if balanced or cured else 2


def _more_for_all(context: Context) -> Iterator[Action]:
    unit = context.condensers[context.shortest_unit]
    plan = maintenance(context, context.shortest_unit)
    leg = costliest_leg(context, unit)
    # Valves and cleaning, however many, come before anything is bought.
    adjusted, whole = (
        maintenance_or_valve(plan, context.shortest_unit),
        with_rated_voltage(with_all_cleaned(plan)),
    )
    free = [
        (0, adjusted),
        (0, balancing_valves(plan)),
        (0, whole.steps_that_cure()),
        (0, _all_maintenance(whole)),
    ]
    yield from least_work_first(context.job, free)
    # Maintenance that is not enough by itself goes along with anything new.
    plan = with_bypasses_shut(whole)
    rid = with_check_valves_out(plan)
    yield from rid.steps_that_cure()
    # With branches by itself only: a balance numbers the parts as they then are.
    plan = plan if context.network.forks else rid
    yield from renewed_pump(plan)
    # Hoses in which the water is too fast are replaced together, not one for the flow alone.
    yield from plan.that_cure(wider_where_fast(context))
    # Wider inlets, where the water is already too fast in them: any other fix needs them too. The
    # boat is hauled for them, so wider shared parts go along before a pump is bought.
    trunk, full = trunk_hose(plan), _full_bore(plan)
    if any(wider_inlets(context)):
        yield from plan.that_cure(wider_inlets(context))
        yield from least_work_first(
            context.job, [(3, narrow_and_valves(plan)), (4, full), (16, trunk)]
        )
    yield from least_work_first(
        context.job,
        [
            (1, fit_one_bleed(plan)),
            (2, turn_scoop(plan)),
            (2, reroute_lower(plan)),
            (2, fit_bleeds(plan)),
            (3, iter(()) if leg is None else runs_full(context, leg)),
            (3, plan.that_cure(sweep_legs(context, unit))),
            (3, iter(()) if leg is None else lower_vent(plan, leg)),
            (1, replace_lossy_parts(plan)),
            (3, narrow_and_valves(plan)),
            (3, one_hose(plan)),
            (3, larger_hose(plan, unit, hull=False)),
            (3, larger_hose(plan, unit)),
            (3, trunk_hose(plan, hull=False)),
            (6, narrow_hoses(plan, hull=False)),
            (6, narrow_hoses(plan)),
            (16, trunk),
            (4, lower_discharges(plan, unit)),
            (4, full),
            (4, trunk_and_valves(plan)),
            (6, _discharges_low(plan, unit)),
            (7, hose_and_valves(plan, unit)),
            (12, stronger_pump(plan)),
            (16, _pump_with_inlets(plan)),
            (15, rated_pump(plan)),
            (15, pump_and_hose(plan, unit)),
            (15, pump_and_bore(plan)),
        ],
    )


def _discharges_low(plan: Plan, unit: CondenserResult) -> Iterator[Action]:
    """Discharges just above the water, plus the hose or pump that then suffices."""
    low = discharges_at_water(plan, unit)
    if low is None or plan.cures(low):
        return
    yield from hose_or_pump(Plan(plan.context, (*plan.steps, *low.steps)), unit)


def hose_or_pump(plan: Plan, unit: CondenserResult) -> Iterator[Action]:
    """The hose or the pump that suffices once the steps of a plan are done."""
    if not plan.can_be_built:
        return
    ways = [
        (6, one_hose(plan)),
        (7, larger_hose(plan, unit, hull=False)),
        (7, larger_hose(plan, unit)),
        (16, stronger_pump(plan)),
    ]
    yield from least_work_first(plan.context.job, ways)


def _pump_with_inlets(plan: Plan) -> Iterator[Action]:
    """A stronger pump with wider inlets, where the water is already too fast in them."""
    for inlets in islice(wider_inlets(plan.context), 1):
        yield from stronger_pump(Plan(plan.context, (*plan.steps, inlets)))


def _full_bore(plan: Plan) -> Iterator[Action]:
    """Full-bore ball valves for reduced-port seacocks: alone, with one hose, or with a pump."""
    network, addresses = plan.context.network, plan.context.addresses
    reduced = tuple(
        FitFullBore(addresses[index])
        for index, part in enumerate(network.parts)
        if isinstance(part, Seacock) and narrower(part.port or math.inf, part.inner_bore)
    )
    if not reduced:
        return
    full = Plan(plan.context, (*plan.steps, *reduced))
    if full.cures():
        yield full.followed_by()
        return
    besides = [(7, one_hose(full)), (16, islice(stronger_pump(full), 1))]
    yield from least_work_first(plan.context.job, besides)


def _all_maintenance(plan: Plan) -> Iterator[Action]:
    """All maintenance together, where it gives every unit its need, if not at the low edge.

    Anything bought for the margin is chosen once the flow is measured: common practice. But not
    where it cleans a grate that is too narrow even when clean: the work at the hull would be done
    twice.
    """
    cleaned = [step.part for step in plan.steps if isinstance(step, CleanGrate)]
    grates = [part_at(plan.context.job, address) for address in cleaned]
    if any(isinstance(grate, Intake) and grate.narrow_grate for grate in grates):
        return
    if plan.steps and plan.context.any_short and plan.meets_needs_midband():
        yield plan.followed_by()


def open_shut_parts(context: Context, shut: list[int]) -> Iterator[Action]:
    """Open the shut parts, if all of them are valves; alone, with maintenance, or balanced.

    An opened branch takes water from the others, which may then need maintenance too. Hose or a
    pump is added only where the others are short without it.
    """
    if all(isinstance(context.network.parts[index], Seacock) for index in shut):
        valves = [SetValve(context.addresses[index], 0.0) for index in shut]
        plan = with_all_cleaned(maintenance(context, context.shortest_unit))
        plans = Plan(context, ()), plan, with_bypasses_shut(plan)
        yield from dict.fromkeys(one.followed_by(*valves) for one in plans)
        full = Plan(context, (*with_bypasses_shut(plan).steps, *valves))
        if context.network.forks:
            yield from valves_after(full)
        if not context.running_units or full.meets_needs_midband():
            return
        bought = [(3, one_hose(full)), (3, trunk_hose(full, hull=False)), (12, stronger_pump(full))]
        yield from least_work_first(context.job, bought)
