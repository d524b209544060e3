"""Single parts that lose far more head than their kind should: replaced before a pump is."""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import islice

from loop.check.context import Context
from loop.check.maintenance import wrong_check_valves
from loop.check.plan import Plan
from loop.check.wider_hose import ribbed, wider_hose
from loop.check.work import line_bore_if_narrower
from loop.job import TRADE_BORES
from loop.parts import Discharge, Elbow, Fitting, Hose, Intake, Strainer
from loop.parts.friction import GRAVITY
from loop.parts.hose import BARB_OVER_HOSE
from loop.parts.intake import usual_grate_face
from loop.parts.step import narrower
from loop.units import parse
from loop.words.actions import (
    Action,
    ChangeBarbs,
    ChangeBore,
    ChangeFitting,
    ChangeGrate,
    ChangeStrainer,
    LeadRound,
    together,
)
from loop.words.numbers import round_down, round_up

# Loss of a clean strainer at the loop's flow that is acceptable [Pa]: engineering estimate.
STRAINER_LOSS = parse("0.4 psi", "pressure")
# Share of it that a strainer a size larger loses: engineering estimate.
_LARGE = 0.5
# Share of the pump's head from which one part's loss is odd, and barb bore over the usual bore
# below which a hose's barbs are narrow: engineering estimates.
_ODD, _NARROW = 0.15, 0.75
# Share of the pump's head lost in elbows from which a hose routed around is worthwhile, and the
# fewest bends per elbow that replace them: engineering estimates.
_ELBOWS, _BENDS = 0.1, 0.4
# Shares of a fitting's loss to try for its replacement: engineering estimates. The last are for a
# fitting that is all but shut.
_LOSS_SHARES = (
    *(share / 20 for share in range(19, 0, -1)),
    *(0.05 * 0.8**step for step in range(1, 25)),
)
# Sizes of smooth hose to try in place of ribbed, from the present one.
_SIZES = 3


def replace_lossy_parts(plan: Plan) -> Iterator[Action]:
    """Remove one odd loss at a time, greatest first, that gives each unit its need."""
    context = plan.context
    network, head = context.network, context.point.pump_head
    # A strainer's loss is judged as when clean.
    dirt = [
        part.blocked_factor(0.0) if isinstance(part, Strainer) else 1.0 for part in network.parts
    ]
    losses = [s.head_loss * float(f) for s, f in zip(context.point.stations, dirt, strict=True)]
    odd = [index for index, loss in enumerate(losses) if loss > _ODD * head]
    for index in sorted(odd, key=lambda i: -losses[i]):
        part, address = network.parts[index], context.addresses[index]
        if isinstance(part, Fitting):
            yield from _less_lossy_fitting(plan, index, part)
        elif isinstance(part, Intake) and part.narrow_grate:
            yield from plan.that_cure([usual_grate(context, index, part.inner_bore)])
        elif isinstance(part, Strainer):
            sizes = (STRAINER_LOSS, _LARGE * STRAINER_LOSS)
            flow = strainer_flow(context)
            yield from plan.that_cure(ChangeStrainer(address, loss, flow) for loss in sizes)
    yield from _bends_for_elbows(plan, losses)
    yield from _smooth_hose(plan)
    changes = narrow_parts(plan)
    yield from plan.that_cure([*changes, together(changes)] if changes else [])
    yield from plan.that_cure(narrow_barbs(plan))


def narrow_barbs(plan: Plan) -> list[Action]:
    """Barbs that are far narrower than is usual, of all hoses at once; empty if there are none."""
    context = plan.context
    narrow = [
        context.addresses[index]
        for index, part in enumerate(context.network.parts)
        if isinstance(part, Hose) and part.barb < _NARROW * BARB_OVER_HOSE * part.inner_bore
    ]
    return [ChangeBarbs(tuple(narrow))] if narrow else []


def _less_lossy_fitting(plan: Plan, index: int, part: Fitting) -> Iterator[Action]:
    """A fitting with the greatest loss that suffices, at the flow that the units then have."""
    context = plan.context
    network, units = context.network, context.job.units
    shortage = max(unit.needed_flow / max(unit.flow, 1e-12) for unit in context.running_units)
    now = abs(float(context.point.line_flow[network.line_of[index]]))
    flow = round_up(min(now * max(shortage, 1.0), context.design_flow), "flow", units)
    weight = network.water.density * GRAVITY / part.count
    loss_there = float(part.head_loss(flow, network.water)) * weight
    losses = dict.fromkeys(
        round_down(share * loss_there, "pressure", units) for share in _LOSS_SHARES
    )
    changes = [ChangeFitting(context.addresses[index], loss, flow) for loss in losses if loss > 0]
    largest = bisect_left(changes, True, key=plan.cures)
    if largest < len(changes):
        yield plan.followed_by(changes[largest])


def _bends_for_elbows(plan: Plan, losses: Sequence[float]) -> Iterator[Action]:
    """Replace elbows that cost much with hose in long bends: the most bends that suffice.

    One long bend may replace two elbows.
    """
    context = plan.context
    network, head = context.network, context.point.pump_head
    for index, elbow in enumerate(network.parts):
        line = network.lines[network.line_of[index]].parts
        hoses = [other for other in line if isinstance(network.parts[other], Hose)]
        if not isinstance(elbow, Elbow) or losses[index] < _ELBOWS * head or not hoses:
            continue
        beside = min(hoses, key=lambda other: abs(other - index))
        changes = [
            LeadRound(context.addresses[index], context.addresses[beside], bends)
            for bends in range(math.ceil(_BENDS * elbow.count), elbow.count + 1)
        ]
        most = bisect_left(changes, True, key=lambda bend: not plan.cures(bend))
        if most:
            yield plan.followed_by(changes[most - 1])


def _smooth_hose(plan: Plan) -> Iterator[Action]:
    """Replace all ribbed hose with smooth, of its bore or else of the next sizes."""
    parts = plan.context.network.parts
    ribs = [index for index, part in enumerate(parts) if ribbed(part)]
    least = min((parts[index].inner_bore for index in ribs), default=math.inf)
    smooth = (
        wider_hose(plan.context, own, bore, hull)
        for bore in [one for one in TRADE_BORES if not narrower(one, least)][:_SIZES]
        for own in [[i for i in ribs if not narrower(bore, parts[i].inner_bore)]]
        for hull in (False, True)
    )
    yield from islice(plan.that_cure(smooth), 1)


def narrow_parts(plan: Plan) -> list[Action]:
    """Parts narrower than every hose of their line, each in its bore.

    Not parts whose loss is rated, whatever their bore: condensers, fittings and pumps; nor a check
    valve that must come out.
    """
    context, changes = plan.context, list[Action]()
    out = wrong_check_valves(context.network)
    for index, part in enumerate(context.network.parts):
        address = context.addresses[index]
        plain = part.with_hose or isinstance(part, Intake | Strainer | Discharge)
        if plain and index not in out and (bore := line_bore_if_narrower(context.job, address)):
            changes.append(ChangeBore(address, bore))
    return changes


def usual_grate(context: Context, intake: int, bore: float) -> ChangeGrate:
    """A grate of usual face and openness for a through-hull of a bore [m], rounded for display."""
    area = round_up(usual_grate_face(bore), "area", context.job.units)
    return ChangeGrate(context.addresses[intake], Intake.clean, area)


def strainer_flow(context: Context) -> float:
    """The flow [m³/s] for which to buy a strainer, rounded up in the job's units."""
    return round_up(context.design_flow, "flow", context.job.units)
