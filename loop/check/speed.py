"""Findings about water speed."""

import math
from collections.abc import Iterator
from functools import partial

from loop.balancing.flow_limiting import throttle
from loop.check.air import flows_with
from loop.check.bore_steps import adapters_for
from loop.check.context import EXCESS, Context
from loop.check.doubtful_losses import short_with
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.excess_flow import slower_first, slowing_fix_count
from loop.check.inlets import inlets_fast
from loop.check.plan import midband_target
from loop.check.throttle_actions import valve_actions
from loop.check.wider_hose import neighbor_bore, wider_hose
from loop.hydraulics.line_profile import LEAST_SWING
from loop.job import TRADE_BORES, bores_above
from loop.margins.speed import PartSpeed, part_speeds
from loop.parts import CheckValve, Condenser, Hose
from loop.parts.friction import GRAVITY, velocity
from loop.parts.step import narrower
from loop.units import System, convert
from loop.units.shown import decimals
from loop.words import Action, Value
from loop.words.actions import ChangeHose, RemovePart, together
from loop.words.base import start_height


def speed_findings(context: Context) -> Iterator[Draft]:
    """suction-fast, inlet-fast, hose-fast, tube-fast; hose-slow of check valves."""
    yield from inlets_fast(context)
    yield from _flaps(context)
    fast: dict[tuple[bool, float], list[PartSpeed]] = {}
    for speed in part_speeds(context.point):
        if speed.speed > speed.most:
            if speed.tube:
                yield _tube_fast(context, speed)
            else:
                fast.setdefault((speed.suction, round(speed.speed, 6)), []).append(speed)
    for alike in fast.values():
        for speed in alike:
            yield draft(
                "suction-fast" if speed.suction else "hose-fast",
                "warning",
                context.place(speed.index),
                _speed(speed, speed.most),
                partial(_slow_water, context, alike),
                offer_count=partial(slowing_fix_count, context),
            )


def slow_findings(context: Context) -> Iterator[Draft]:
    """hose-slow, tube-slow; none where flow is short, since more flow is the cure.

    For a hose only where air stays: one that rises all the way may be of any width.
    """
    slow: dict[float, list[PartSpeed]] = {}
    for speed in part_speeds(context.point):
        if context.any_short or not _shown_less(speed.speed, speed.least, context.job.units):
            continue
        if speed.tube:
            yield _tube_slow(context, speed)
        elif _keeps_air(context, speed.index):
            slow.setdefault(round(speed.speed, 6), []).append(speed)
    for alike in slow.values():
        for speed in alike:
            yield draft(
                "hose-slow",
                "note",
                context.place(speed.index),
                _speed(speed, speed.least),
                partial(_narrower, context, alike),
            )


def _flaps(context: Context) -> Iterator[Draft]:
    """hose-slow, of check valves whose flap is not wide open at their flow.

    A warning where what they may lose more would leave a unit short.
    """
    network, slow = context.network, dict[int, tuple[float, float]]()
    for index, part in enumerate(network.parts):
        flow = float(context.point.line_flow[network.line_of[index]])
        if isinstance(part, CheckValve) and flow > 0 and not context.any_short:
            speed, least = velocity(flow, part.inner_bore), part.wide_open(network.water)
            if _shown_less(speed, least, context.job.units):
                slow[index] = speed, least
    losses = {index: (least / speed) ** 2 for index, (speed, least) in slow.items()}
    short = bool(losses) and short_with(context, losses)
    for index, (speed, least) in slow.items():
        address, lost = context.addresses[index], context.point.stations[index].head_loss
        yield draft(
            "hose-slow",
            "warning" if short else "note",
            context.place(index),
            {
                "case": "flap-short" if short else "flap",
                "part": address,
                "speed": speed,
                "limit": least,
                "more": lost * (losses[index] - 1),
            },
            fixed_candidates(RemovePart(address)) if short else None,
            basis=("check valve",),
        )


def _shown_less(value: float, limit: float, units: System) -> bool:
    """Whether a speed is below its limit by more than the displayed rounding."""
    step = 10.0 ** -decimals("velocity", units)
    return convert(limit - value, "velocity", units) > step


def _keeps_air(context: Context, index: int) -> bool:
    """Whether air may stay in a hose: where it falls, and the water is too slow to clear it.

    Before the pump, wherever it falls: no leg there is counted on to clear itself.
    """
    network = context.network
    if index < network.pump_index:
        hose = network.parts[index]
        assert isinstance(hose, Hose)
        heights = [start_height(context.job, context.addresses[index])]
        heights += [height for _, height in hose.points]
        falls = (max(heights[: n + 1]) - height for n, height in enumerate(heights))
        return max(falls) >= LEAST_SWING
    flow = float(context.point.line_flow[network.line_of[index]])
    return any(
        velocity(flow, section.bore) <= section.clears[1] * math.sqrt(GRAVITY * section.bore)
        for section in network.sections
        if any(piece.part == index for piece in section.pieces)
    )


def _speed(speed: PartSpeed, limit: float) -> dict[str, Value | None]:
    return {"speed": speed.speed, "limit": limit}


def _slow_water(context: Context, alike: list[PartSpeed]) -> Iterator[Action]:
    """No scoop, a smaller pump, or a wider bore for these hoses."""
    yield from slower_first(context, _wider(context, alike))


def wider_where_fast(context: Context) -> Iterator[Action]:
    """Wider bores for all hoses in which the water is too fast, together."""
    fast = [one for one in part_speeds(context.point) if one.speed > one.most and not one.tube]
    if fast:
        yield from _wider(context, sorted(fast, key=lambda one: -one.better_bore))


def _wider(context: Context, alike: list[PartSpeed]) -> Iterator[Action]:
    """Bores at which these hoses stay within their limit, at the greater flow that results.

    From the neighbors' bore on, if they are wider.
    """
    beside = max(neighbor_bore(context.network, speed.index) for speed in alike)
    for bore in bores_above(0.0, large=True):
        if bore < alike[0].better_bore * 0.999 or narrower(bore, beside):
            continue
        action = wider_hose(context, [speed.index for speed in alike], bore)
        flows = flows_with(context, action)
        if flows is not None and all(
            velocity(flows[speed.index], bore) <= speed.most for speed in alike
        ):
            yield action


def _narrower(context: Context, alike: list[PartSpeed]) -> Iterator[Action]:
    """Bores that carry air and silt along, with adapters, and leave every unit its need."""
    network = context.network
    now = network.parts[alike[0].index].inner_bore
    for bore in reversed(TRADE_BORES):
        if bore > alike[0].better_bore * 1.001 or bore >= now:
            continue
        action = ChangeHose(tuple(context.addresses[speed.index] for speed in alike), bore)
        flows = flows_with(context, action)
        if flows is None:
            continue
        carries = all(velocity(flows[speed.index], bore) >= speed.least for speed in alike)
        enough = all(
            flows[network.condenser_part(unit.name)] >= midband_target(unit)
            for unit in context.running_units
        )
        if carries and enough:
            changed = {speed.index: bore for speed in alike}
            yield together([action, *adapters_for(context, changed)])


def _tube_fast(context: Context, speed: PartSpeed) -> Draft:
    part = context.network.parts[speed.index]
    assert isinstance(part, Condenser)
    unit = context.job.unit(part.serves)
    most = context.point.flow_through(speed.index) * speed.most / speed.speed
    narrow = most < unit.needed_flow
    return draft(
        "tube-fast",
        "warning",
        context.place(speed.index),
        {
            "case": "narrow" if narrow else None,
            "part": context.addresses[speed.index],
            **_speed(speed, speed.most),
            "most": most,
            "needed": unit.needed_flow,
            # For the need, and for the actual flow, if nothing throttles that.
            "bore": (part.tube_bore or 0.0)
            * math.sqrt(max(unit.needed_flow / most, speed.speed / speed.most)),
        },
        None if narrow else lambda: slower_first(context, _throttled(context, unit.name, most)),
        offer_count=partial(slowing_fix_count, context),
    )


def _throttled(context: Context, unit: str, most: float) -> Iterator[Action]:
    """The valve that brings a unit's tube within its limit."""
    valve = valve_actions(context, [throttle(context.network, unit, most)])
    if valve is not None:
        yield valve


def _tube_slow(context: Context, speed: PartSpeed) -> Draft:
    part = context.network.parts[speed.index]
    assert isinstance(part, Condenser)
    unit = context.job.unit(part.serves)
    enough = context.point.flow_through(speed.index) * speed.least / speed.speed
    return draft(
        "tube-slow",
        "note",
        context.place(speed.index),
        {
            "case": None if enough <= EXCESS * unit.needed_flow else "excess",
            "part": context.addresses[speed.index],
            **_speed(speed, speed.least),
            "enough": enough,
        },
    )
