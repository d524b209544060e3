"""Findings about how fast the water runs."""

import math
from collections.abc import Iterator
from functools import partial
from itertools import chain

from loop.balancing.flow_limiting import throttle
from loop.check.air import flows_with
from loop.check.bore_steps import adapters_for
from loop.check.context import EXCESS, Context
from loop.check.drafts import Draft, draft
from loop.check.excess import slower_first, too_much_pump
from loop.check.job_changes import reach
from loop.check.odd_losses import usual_grate
from loop.check.throttle_actions import settings
from loop.check.too_fast import faster
from loop.check.widened import of_neighbors, widened
from loop.hydraulics.line_profile import LEAST_SWING
from loop.job import TRADE_BORES
from loop.margins.speed import SUCTION_MOST, PartSpeed, inlet_speeds, part_speeds
from loop.parts import Condenser, Hose, Intake
from loop.parts.friction import GRAVITY, velocity
from loop.parts.step import narrower
from loop.units import System, convert
from loop.units.shown import decimals
from loop.words import Action, Value
from loop.words.actions import ChangeBore, ChangeHose, CleanGrate, FitFullBore, together
from loop.words.base import start_height


def speed_findings(context: Context) -> Iterator[Draft]:
    """suction-fast, inlet-fast, hose-fast, tube-fast."""
    yield from _inlets_fast(context)
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
                context.at(speed.index),
                _speed(speed, speed.most),
                partial(_slower, context, alike),
                asked=partial(_ways, context),
            )


def slow_findings(context: Context) -> Iterator[Draft]:
    """hose-slow, tube-slow: where flow is short, more flow is the cure.

    Of a hose only where air stays: one that rises all the way may be as wide as it likes.
    """
    slow: dict[float, list[PartSpeed]] = {}
    for speed in part_speeds(context.point):
        if context.short or not _shown_less(speed.speed, speed.least, context.job.units):
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
                context.at(speed.index),
                _speed(speed, speed.least),
                partial(_narrower, context, alike),
            )


def _shown_less(value: float, limit: float, units: System) -> bool:
    """Whether a speed is under its limit by more than the rounding of the number shown."""
    step = 10.0 ** -decimals("velocity", units)
    return convert(limit - value, "velocity", units) > step


def _keeps_air(context: Context, index: int) -> bool:
    """Whether air may stay in a hose: where it falls, and the water is too slow to clear it.

    Before the pump where it falls at all: there no leg is counted on to clear itself.
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


def _inlets_fast(context: Context) -> Iterator[Draft]:
    """Through-hulls and seacocks before the pump, by the limit of a suction hose."""
    for index, speed in _fast_inlets(context).items():
        yield draft(
            "inlet-fast",
            "warning",
            context.at(index),
            {"case": _case(context, index, speed), "speed": speed, "limit": SUCTION_MOST},
            lambda: slower_first(context, wider_inlets(context)),
            asked=partial(_ways, context),
        )


def _case(context: Context, index: int, speed: float) -> str | None:
    """Whether it is the grate in which the water is as fast, and not the bore."""
    bore, line = context.network.parts[index].inner_bore, context.network.line_of[index]
    grated = isinstance(context.network.parts[index], Intake)
    within = velocity(float(context.point.line_flow[line]), bore)
    return "grate" if grated and faster(speed, within) else None


def _fast_inlets(context: Context) -> dict[int, float]:
    """Speeds [m/s] over the limit, by part."""
    return {i: speed for i, speed in inlet_speeds(context.point) if speed > SUCTION_MOST}


def wider_inlets(context: Context) -> Iterator[Action]:
    """The sizes in which all of them run within their limit, with the hoses that are too fast.

    From the bore of the other hoses before the pump on: one bore throughout costs the least head.
    """
    parts, fast = context.network.parts, list(_fast_inlets(context))
    if not fast:
        return
    hoses = [s.index for s in part_speeds(context.point) if s.suction and s.speed > s.most]
    flow = max(float(context.point.line_flow[context.network.line_of[i]]) for i in fast)
    kept = [
        part.inner_bore
        for i, part in enumerate(parts[: context.network.pump_index])
        if isinstance(part, Hose) and i not in hoses
    ]
    for bore in TRADE_BORES:
        if velocity(flow, bore) > SUCTION_MOST or narrower(bore, min(kept, default=0.0)):
            continue
        smaller = [i for i in hoses if narrower(parts[i].inner_bore, bore)]
        wide = [widened(context, smaller, bore)] if smaller else []
        done = {address for one in wide for address in one.fittings}
        others = (_inlet_in(context, i, bore, context.addresses[i] in done) for i in fast)
        action = together([*wide, *chain.from_iterable(others)])
        yield action
        if all(isinstance(step, CleanGrate) for step in action.steps) and _slow_in(context, action):
            return


def _slow_in(context: Context, action: Action) -> bool:
    """Whether the bores of all inlets are wide enough for what comes once this is done."""
    flows, parts = flows_with(context, action), context.network.parts
    return flows is not None and all(
        velocity(flows[i], parts[i].inner_bore) <= SUCTION_MOST
        for i, _ in inlet_speeds(context.point)
    )


def _inlet_in(context: Context, index: int, bore: float, done: bool) -> Iterator[Action]:
    """What a fast inlet takes to be of a bore [m], which a hose's change may have done."""
    part, address = context.network.parts[index], context.addresses[index]
    wider = narrower(part.inner_bore, bore)
    if wider and not done:
        yield ChangeBore(address, bore)
    if isinstance(part, Intake):
        if part.narrow_grate:
            yield usual_grate(context, index, max(bore, part.inner_bore))
        elif part.overgrown:
            yield CleanGrate(address, part.clean)
    elif not wider and not done:
        yield FitFullBore(address)


def _ways(context: Context) -> int:
    """How many ways are given: where the pump is too large, another is the one."""
    return 1 if too_much_pump(context) else 2


def _slower(context: Context, alike: list[PartSpeed]) -> Iterator[Action]:
    """No scoop, a smaller pump, or these hoses wider."""
    yield from slower_first(context, _wider(context, alike))


def _wider(context: Context, alike: list[PartSpeed]) -> Iterator[Action]:
    """Bores in which these hoses run within their limit, though more water then flows.

    From their neighbors' on, where these are wider.
    """
    beside = max(of_neighbors(context.network, speed.index) for speed in alike)
    for bore in TRADE_BORES:
        if bore < alike[0].better_bore * 0.999 or narrower(bore, beside):
            continue
        action = widened(context, [speed.index for speed in alike], bore)
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
            flows[network.condenser_part(unit.name)] >= reach(unit) for unit in context.running
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
        context.at(speed.index),
        {
            "case": "narrow" if narrow else None,
            "part": context.addresses[speed.index],
            **_speed(speed, speed.most),
            "most": most,
            "needed": unit.needed_flow,
            # For the need, and for what comes, where nothing throttles that.
            "bore": (part.tube_bore or 0.0)
            * math.sqrt(max(unit.needed_flow / most, speed.speed / speed.most)),
        },
        None if narrow else lambda: slower_first(context, _throttled(context, unit.name, most)),
        asked=partial(_ways, context),
    )


def _throttled(context: Context, unit: str, most: float) -> Iterator[Action]:
    """The valve that brings a unit's tube within its limit."""
    valve = settings(context, [throttle(context.network, unit, most)])
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
        context.at(speed.index),
        {
            "case": None if enough <= EXCESS * unit.needed_flow else "excess",
            "part": context.addresses[speed.index],
            **_speed(speed, speed.least),
            "enough": enough,
        },
    )
