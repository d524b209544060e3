"""Findings about air: high points, priming, pockets that stay, and bleeds."""

import math
from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from loop.air.air_paths import AirPath
from loop.air.bleeds import BleedJudgement, ProposedBleed
from loop.air.high_points import HighPoint
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.lower_routes import hose_run, without_high_points
from loop.check.priming import priming_findings
from loop.check.suction_high_points import suction_high_points
from loop.check.trapped_air import bleed_at, leg_below_point, traps_air, when_opened
from loop.check.work import least_work_first
from loop.hydraulics import build, solve_flows
from loop.hydraulics.clearing import clearing_froude
from loop.hydraulics.gauge_pressure import draws_air
from loop.job import TRADE_BORES, JobError
from loop.margins.speed import HOSE_MIN, PRESSURE_MAX
from loop.parts import Hose
from loop.parts.friction import GRAVITY, velocity
from loop.words import Action
from loop.words.actions import ChangeHose, MoveBleed, RemovePart, SetHeights
from loop.words.numbers import round_down


def air_findings(context: Context) -> Iterator[Draft]:
    """suction-above-water, suction-hump, start-head-short, air-held, bleed-…; one per place.

    Paths through different branches share the main line: a finding there is reported once.
    """
    said = set()
    for path in context.air_paths:
        for found in (
            *suction_high_points(context, path),
            *priming_findings(context, path),
            *_air_held(context, path),
            *_missing_bleeds(context, path),
            *_existing_bleeds(context, path),
            *_hand_bleeds(context, path),
        ):
            key = (found.code, found.at, found.level, found.values.get("case"))
            if key not in said:
                said.add(key)
                yield found


def _air_held(context: Context, path: AirPath) -> Iterator[Draft]:
    if not context.has_flow:
        return
    for number, high_point in enumerate(path.high_points):
        if not traps_air(context, high_point):
            continue
        held = high_point.running == "held"
        yield draft(
            "air-held",
            "warning" if held else "note",
            context.place(high_point.part, high_point.along if high_point.on_part else None),
            {
                "case": _why_air_stays(context, high_point) if held else None,
                "height": high_point.height,
                "speed": high_point.velocity,
                "froude": high_point.froude,
                "bore": high_point.bore,
                "least": high_point.clearing[0],
                "most": high_point.clearing[1],
            },
            partial(_let_air_out, context, path, number),
            basis=("clearing", "steeper") if high_point.extrapolated else (),
        )


def _why_air_stays(context: Context, high_point: HighPoint) -> str:
    """Whether a leg holds air in any case ("held"), or depends on how it was filled ("filling")."""
    leg = leg_below_point(context, high_point)
    return "filling" if leg is not None and leg.state == "either" else "held"


def _let_air_out(context: Context, path: AirPath, number: int) -> Iterator[Action]:
    high_point = path.high_points[number]
    if high_point.lasts:
        yield bleed_at(context, high_point, high_point.negative_pressure)
    run = hose_run(context.job, context.addresses[high_point.part])
    lower = without_high_points(context.job, run)
    if lower is not None:
        yield lower
    yield from _smaller_hose(context, path, high_point)


def _smaller_hose(context: Context, path: AirPath, high_point: HighPoint) -> Iterator[Action]:
    """Trade bores for the falling leg at which the water sweeps the air out, largest first."""
    network = context.network
    leg = [p for p in path.profile.points if high_point.leg[0] < p.distance <= high_point.leg[1]]
    hoses = [i for i in dict.fromkeys(p.part for p in leg) if isinstance(network.parts[i], Hose)]
    if not hoses:
        return
    froude = float(clearing_froude(_steepest(path, high_point))[1])
    for bore in reversed([b for b in TRADE_BORES if b < high_point.bore]):
        action = ChangeHose(tuple(context.addresses[i] for i in hoses), bore)
        flows = flows_with(context, action)
        if flows is None:
            continue
        speed = velocity(flows[hoses[0]], bore)
        if max(froude * math.sqrt(GRAVITY * bore), HOSE_MIN) < speed <= PRESSURE_MAX:
            yield action


def flows_with(context: Context, action: Action) -> list[float] | None:
    """Flow through each part [m³/s] after an action, on the tables; None if it cannot be done."""
    try:
        network = build(action.apply(context.job))
    except JobError:
        return None
    flows = solve_flows(network, start=context.point.line_flow).line_flow[0]
    return [float(flows[line]) for line in network.line_of]


def _steepest(path: AirPath, high_point: HighPoint) -> float:
    """Steepest slope [rad] of a high point's falling leg."""
    points = [
        p for p in path.profile.points if high_point.leg[0] <= p.distance <= high_point.leg[1]
    ]
    return max(
        math.asin(min(max((a.height - b.height) / (b.distance - a.distance), 0.0), 1.0))
        for a, b in pairwise(points)
        if b.distance > a.distance
    )


def _missing_bleeds(context: Context, path: AirPath) -> Iterator[Draft]:
    for bleed in path.proposed:
        at_pump = bleed.reason == "pump outlet"
        yield draft(
            "bleed-missing",
            "warning",
            context.place(bleed.part, bleed.along if bleed.on_part else None),
            {"case": "pump" if at_pump else None, "height": bleed.height},
            partial(_move_or_fit_bleed, context, path, bleed),
            basis=("common practice",) if at_pump else (),
        )


def _move_or_fit_bleed(
    context: Context, path: AirPath, proposed: ProposedBleed
) -> Iterator[Action]:
    """Move a bleed that does nothing where it is, or fit a new one."""
    if proposed.reason == "pump outlet":
        for bleed in path.bleeds:
            if bleed.draws_air or not bleed.lets_out_air:
                yield from _move_to_pump_outlet(context, path, bleed)
    yield bleed_at(context, proposed, proposed.draws_air)


def _existing_bleeds(context: Context, path: AirPath) -> Iterator[Draft]:
    for bleed in path.bleeds:
        address = context.addresses[bleed.part]
        if bleed.draws_air:
            # On the suction side above the water there is no moment at which air leaves through it.
            # Where the line drains there is none at which air leaves for good.
            shut = bleed.drains or (bleed.side == "suction" and bleed.height >= 0)
            yield draft(
                "bleed-draws-air",
                "warning",
                context.place(bleed.part),
                {
                    "case": "shut" if shut else when_opened(bleed.height, True),
                    "part": address,
                    "pressure": bleed.gauge_pressure,
                },
                partial(_off_suction, context, path, bleed),
            )
        if not bleed.lets_out_air:
            yield draft(
                "bleed-in-sag",
                "note",
                context.place(bleed.part),
                {"case": None if bleed.place == "low point" else "slope", "part": address},
                partial(_relocate_or_remove, context, path, bleed),
            )


def _hand_bleeds(context: Context, path: AirPath) -> Iterator[Draft]:
    """Bleeds on a line that drains at each stop, where air costs head as the loop starts."""
    for bleed in path.bleeds:
        if not bleed.drains or bleed.high_point is None:
            continue
        leg = leg_below_point(context, path.high_points[bleed.high_point])
        takes = leg is not None and leg.head_taken > 0
        if takes or not path.starts_with_spare:
            yield draft(
                "bleed-by-hand",
                "note",
                context.place(bleed.part),
                {
                    "case": "lifted" if bleed.height < 0 else None,
                    "part": context.addresses[bleed.part],
                    "height": abs(bleed.height),
                },
            )


def _off_suction(context: Context, path: AirPath, bleed: BleedJudgement) -> Iterator[Action]:
    """Move the bleed past the pump, remove it, or lower the line there: least work first."""
    out = RemovePart(context.addresses[bleed.part])
    lower = _lower_line_at(context, bleed) if bleed.side == "pressure" else iter(())
    yield from least_work_first(
        context.job, [(1, _move_to_pump_outlet(context, path, bleed)), (1, iter([out])), (2, lower)]
    )


def _move_to_pump_outlet(
    context: Context, path: AirPath, bleed: BleedJudgement
) -> Iterator[Action]:
    """Move a suction bleed to the pump outlet, if that has none and it would not draw air."""
    at = context.network.pump_index
    served = any(other.serves_pump for other in path.bleeds)
    draws = draws_air(context.point, path.profile, path.profile.pump)
    if bleed.side == "suction" and not served and not draws:
        height = context.network.heights[at]
        yield MoveBleed(context.addresses[bleed.part], context.addresses[at], None, height)


def _lower_line_at(context: Context, bleed: BleedJudgement) -> Iterator[Action]:
    """Lower the end of the hose before the bleed to where the line is above sea pressure."""
    network = context.network
    before = [
        i
        for i in network.lines[network.line_of[bleed.part]].parts
        if i < bleed.part and isinstance(network.parts[i], Hose)
    ]
    if not before:
        return
    hose = network.parts[before[-1]]
    assert isinstance(hose, Hose)
    level = bleed.height + bleed.gauge_pressure / (network.water.density * GRAVITY)
    lower = round_down(level, "height", context.job.units)
    yield SetHeights(context.addresses[before[-1]], ((hose.length, lower),))


def _relocate_or_remove(context: Context, path: AirPath, bleed: BleedJudgement) -> Iterator[Action]:
    """Move the bleed to the pump outlet or to the high point it was meant for, or remove it."""
    address = context.addresses[bleed.part]
    yield from _move_to_pump_outlet(context, path, bleed)
    if bleed.high_point is not None:
        high_point = path.high_points[bleed.high_point]
        fit = bleed_at(context, high_point, high_point.negative_pressure)
        yield MoveBleed(address, fit.part, fit.along, fit.height, fit.opened)
    yield RemovePart(address)
