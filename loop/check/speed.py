"""Findings about how fast the water runs, and about steps of bore on its way."""

import math
from collections.abc import Iterator
from functools import partial

from loop.balancing.flow_limiting import throttle
from loop.check.air import flows_with
from loop.check.context import EXCESS, Context
from loop.check.drafts import Draft, draft, just
from loop.check.job_changes import reach
from loop.check.throttle_actions import settings
from loop.job import TRADE_BORES
from loop.margins.speed import PartSpeed, part_speeds
from loop.parts import Condenser, Fitting, Hose, Manifold
from loop.parts.friction import velocity
from loop.words import Action, Value
from loop.words.actions import ChangeHose, FitAdapter, together

# Bores that differ by more than this are joined by an adapter: between two trade sizes.
_STEP = 1.12


def speed_findings(context: Context) -> Iterator[Draft]:
    """suction-fast, hose-fast, tube-fast."""
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
                partial(_wider, context, alike),
            )


def slow_findings(context: Context) -> Iterator[Draft]:
    """hose-slow, tube-slow, bore-step: where flow is short, more flow is the cure of the first."""
    slow: dict[float, list[PartSpeed]] = {}
    for speed in part_speeds(context.point):
        if speed.speed >= speed.least or context.short:
            continue
        if speed.tube:
            yield _tube_slow(context, speed)
        else:
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
    yield from _steps(context)


def _speed(speed: PartSpeed, limit: float) -> dict[str, Value | None]:
    return {"speed": speed.speed, "limit": limit}


def _changed(context: Context, alike: list[PartSpeed], bore: float) -> ChangeHose:
    return ChangeHose(tuple(context.addresses[speed.index] for speed in alike), bore)


def _wider(context: Context, alike: list[PartSpeed]) -> Iterator[Action]:
    """Bores in which these hoses run within their limit, though more water then flows."""
    for bore in TRADE_BORES:
        if bore < alike[0].better_bore * 0.999:
            continue
        action = _changed(context, alike, bore)
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
        action = _changed(context, alike, bore)
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


def adapters_for(context: Context, changed: dict[int, float]) -> Iterator[Action]:
    """Adapters at the steps of bore that appear with hoses in other bores [m], by their index."""
    before = {(one, other) for one, other, _, _ in steps_of_bore(context, {})}
    for one, other, small, large in steps_of_bore(context, changed):
        if (one, other) not in before:
            yield FitAdapter(context.addresses[one], small, large)


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
            "bore": (part.tube_bore or 0.0) * math.sqrt(max(unit.needed_flow / most, 1.0)),
        },
        None if narrow else partial(_throttled, context, unit.name, most),
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


def _steps(context: Context) -> Iterator[Draft]:
    """Steps of bore, with the adapters for all of them: no adapter is fitted alone."""
    found = list(steps_of_bore(context, {}))
    adapters = [
        FitAdapter(context.addresses[one], before, after) for one, _, before, after in found
    ]
    for _, other, before, after in found:
        yield draft(
            "bore-step",
            "note",
            context.at(other),
            {"bore": before, "to": after},
            just(together(adapters)),
        )


def steps_of_bore(
    context: Context, changed: dict[int, float]
) -> Iterator[tuple[int, int, float, float]]:
    """Neighbors of different bore, and their bores [m], with some hoses in another.

    A hose and what it is joined to; a fitting's stated loss is that of its ends too.
    """
    network = context.network
    for line in network.lines:
        for one, other in zip(line.parts, line.parts[1:], strict=False):
            parts = network.parts[one], network.parts[other]
            if any(isinstance(part, Manifold | Fitting) for part in parts):
                continue
            if not any(isinstance(part, Hose) for part in parts):
                continue
            before, after = (
                changed.get(i, part.inner_bore) for i, part in zip((one, other), parts, strict=True)
            )
            if max(before, after) / min(before, after) > _STEP:
                yield one, other, before, after
