"""Candidate cures for too little flow, the smallest change first."""

import math
from collections.abc import Iterator
from copy import copy
from itertools import islice, tee

from loop.check.balanced_hoses import hose_and_valves, narrow_and_valves, trunk_and_valves
from loop.check.context import Context
from loop.check.discharge_fixes import lower_vent, lowered, lowest
from loop.check.evened import evened
from loop.check.falling_legs import costliest_leg, runs_full
from loop.check.held_air import all_bled, bled
from loop.check.hose_changes import larger_hose, narrow_hoses, one_hose, trunk_hose
from loop.check.inlets import wider_inlets
from loop.check.job_changes import (
    Care,
    cared_for,
    everywhere,
    powered,
    righted,
    round_shut,
    scoop_turned,
)
from loop.check.led_lower import led_lower
from loop.check.odd_losses import eased
from loop.check.pump_and_hose import pump_and_bore, pump_and_hose
from loop.check.pump_changes import rated_pump, renewed_pump, stronger_pump
from loop.check.result import CondenserResult
from loop.check.work import least_work_first
from loop.parts import Intake, Seacock
from loop.parts.step import narrower
from loop.words.actions import Action, CleanGrate, FitFullBore, SetValve
from loop.words.base import part_at


def more_flow(context: Context, number: int) -> Iterator[Action]:
    """Changes that give every unit its need at the low end of the band.

    A unit behind a shut valve has its own; all others share those of the unit that is shortest.
    """
    shut = context.shut_before(context.condensers[number].name)
    yield from opened(context, shut) if shut else more_for_all(context)


def more_for_all(context: Context) -> Iterator[Action]:
    """Changes that give every running unit its need at the low end of the band."""
    # A copy of the `tee` starts over without searching again.
    kept = context.fixes.setdefault("more flow", tee(_more_for_all(context), 1)[0])
    yield from copy(kept)


def ways(context: Context) -> int:
    """How many ways to more flow to offer: one if care or the balance alone is enough."""
    balanced = context.balanced is not None and context.balanced.enough
    care = cared_for(context, context.shortest)
    cured = any(care.curing()) or any(everywhere(care).curing())
    return 1 if balanced or cured else 2


def _more_for_all(context: Context) -> Iterator[Action]:
    unit = context.condensers[context.shortest]
    care = cared_for(context, context.shortest)
    leg = costliest_leg(context, unit)
    # Valves and cleaning, however many, come before anything is bought.
    right, whole = righted(care, context.shortest), powered(everywhere(care))
    free = [(0, right), (0, evened(care)), (0, whole.curing()), (0, _lifted(whole))]
    yield from least_work_first(context.job, free)
    # Care that is not enough by itself goes along with anything new.
    care = round_shut(whole)
    yield from care.curing()
    yield from renewed_pump(care)
    # Wider inlets, where the water is already too fast in them: any other fix needs them too. The
    # boat is hauled for them, so wider shared parts go along before a pump is bought.
    trunk, full = trunk_hose(care), _full_bore(care)
    if any(wider_inlets(context)):
        yield from care.that_cure(wider_inlets(context))
        yield from least_work_first(
            context.job, [(3, narrow_and_valves(care)), (4, full), (16, trunk)]
        )
    yield from least_work_first(
        context.job,
        [
            (1, bled(care)),
            (2, scoop_turned(care)),
            (2, led_lower(care)),
            (2, all_bled(care)),
            (3, iter(()) if leg is None else runs_full(context, leg)),
            (3, iter(()) if leg is None else lower_vent(care, leg)),
            (1, eased(care)),
            (3, narrow_and_valves(care)),
            (3, one_hose(care)),
            (3, larger_hose(care, unit, hull=False)),
            (3, larger_hose(care, unit)),
            (3, trunk_hose(care, hull=False)),
            (6, narrow_hoses(care, hull=False)),
            (6, narrow_hoses(care)),
            (16, trunk),
            (4, lowered(care, unit)),
            (4, full),
            (4, trunk_and_valves(care)),
            (6, _brought_low(care, unit)),
            (7, hose_and_valves(care, unit)),
            (12, stronger_pump(care)),
            (16, _with_inlets(care)),
            (15, rated_pump(care)),
            (15, pump_and_hose(care, unit)),
            (15, pump_and_bore(care)),
        ],
    )


def _brought_low(care: Care, unit: CondenserResult) -> Iterator[Action]:
    """Discharges just above the water, plus the hose or pump that then suffices."""
    low = lowest(care, unit)
    if low is None or care.cures(low):
        return
    lower = Care(care.context, (*care.steps, *low.steps))
    if not lower.fits:
        return
    besides = [
        (6, one_hose(lower)),
        (7, larger_hose(lower, unit, hull=False)),
        (7, larger_hose(lower, unit)),
        (16, stronger_pump(lower)),
    ]
    yield from least_work_first(care.context.job, besides)


def _with_inlets(care: Care) -> Iterator[Action]:
    """A stronger pump with wider inlets, where the water is already too fast in them."""
    for way in islice(wider_inlets(care.context), 1):
        yield from stronger_pump(Care(care.context, (*care.steps, way)))


def _full_bore(care: Care) -> Iterator[Action]:
    """Full-bore ball valves for reduced-port seacocks: alone, with one hose, or with a pump."""
    network, addresses = care.context.network, care.context.addresses
    reduced = tuple(
        FitFullBore(addresses[index])
        for index, part in enumerate(network.parts)
        if isinstance(part, Seacock) and narrower(part.port or math.inf, part.inner_bore)
    )
    if not reduced:
        return
    full = Care(care.context, (*care.steps, *reduced))
    if full.cures():
        yield full.with_()
        return
    besides = [(7, one_hose(full)), (16, islice(stronger_pump(full), 1))]
    yield from least_work_first(care.context.job, besides)


def _lifted(care: Care) -> Iterator[Action]:
    """All care together, where it gives every unit its need, if not at the low edge.

    Anything bought for the margin is chosen once the flow is measured: common practice. But not
    where it cleans a grate that is too narrow even when clean: the work at the hull would be done
    twice.
    """
    cleaned = [step.part for step in care.steps if isinstance(step, CleanGrate)]
    grates = [part_at(care.context.job, address) for address in cleaned]
    if any(isinstance(grate, Intake) and grate.narrow_grate for grate in grates):
        return
    if care.steps and care.context.short and care.lifts():
        yield care.with_()


def opened(context: Context, shut: list[int]) -> Iterator[Action]:
    """Open the shut parts, if all of them are valves; alone or with care.

    An opened branch takes water from the others, which may then need the care too. Hose or a pump
    is added only where the others are short without it.
    """
    if all(isinstance(context.network.parts[index], Seacock) for index in shut):
        valves = [SetValve(context.addresses[index], 0.0) for index in shut]
        care = everywhere(cared_for(context, context.shortest))
        ways = Care(context, ()), care, round_shut(care)
        yield from dict.fromkeys(way.with_(*valves) for way in ways)
        full = Care(context, (*round_shut(care).steps, *valves))
        if not context.running or full.lifts():
            return
        bought = [(3, one_hose(full)), (3, trunk_hose(full, hull=False)), (12, stronger_pump(full))]
        yield from least_work_first(context.job, bought)
