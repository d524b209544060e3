"""Findings about high points in the suction line."""

from collections.abc import Iterable, Iterator
from functools import partial

from loop.air.air_paths import AirPath
from loop.air.suction_rise import SuctionHump, SuctionSide
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.pump_changes import rated
from loop.margins.suction import height_above_water
from loop.parts import Bleed, Condenser, Hose, Pump, Strainer, VentedLoop
from loop.parts.friction import ROUNDING
from loop.words import Action
from loop.words.actions import (
    Address,
    MovePart,
    MoveStrainer,
    RemovePart,
    SetHeights,
    together,
)
from loop.words.base import at_end_of
from loop.words.numbers import round_down, round_up

# Distance from the centerline [m] above which intake and pump are in two hulls, and height over the
# water [m] of a line between them: engineering estimates.
_HULL, _BRIDGE = 1.0, 0.3


def suction_high_points(context: Context, path: AirPath) -> Iterator[Draft]:
    """suction-above-water, suction-hump: one per high point, with cures for all of them."""
    for hump in path.suction.humps:
        high_point = path.high_points[hump.high_point]
        above = _above(context, path, hump)
        stops = above > ROUNDING and not path.suction.self_priming
        lifted = stops and not hump.above_water
        across = _between_hulls(context, hump)
        # Of a leg that falls on past the pump, what lies before it.
        past = high_point.leg[1] > path.profile.pump_at
        low = context.network.heights[context.network.pump_index] if past else high_point.after
        ways = (
            partial(_in_one_hull, context, high_point.part, stops)
            if across
            else partial(_without_dip_or_hump, context, path.suction)
        )
        yield draft(
            "suction-above-water" if stops else "suction-hump",
            "danger" if stops else "warning",
            context.place(high_point.part, high_point.along if high_point.on_part else None),
            {
                "case": "across" if across else "attitude" if lifted else None,
                "height": high_point.height,
                "drop": high_point.height - low,
                "above": above if lifted else None,
            },
            ways,
        )


def _between_hulls(context: Context, hump: SuctionHump) -> bool:
    """Whether it lies across a bridge deck, with only the sea below."""
    sides = context.job.intake.off_centre or 0.0, context.job.pump.off_centre or 0.0
    apart = sides[0] * sides[1] < 0 and min(map(abs, sides)) > _HULL
    return apart and hump.height > _BRIDGE


def _in_one_hull(context: Context, crossing: int, stops: bool) -> Iterator[Action]:
    """The pump in the intake's hull, to push the water across; or a self-priming one, if stopped.

    With its bleed, and behind the strainer. `crossing` is the part that leads across.
    """
    parts, addresses, pump = context.network.parts, context.addresses, context.network.pump_index
    moved = [i for i in range(crossing, pump) if isinstance(parts[i], Strainer)] + [pump]
    moved += [pump + 1] if isinstance(parts[pump + 1], Bleed) else []
    first, *then = (addresses[index] for index in moved)
    yield MovePart(first, addresses[crossing - 1], tuple(then), context.job.intake.off_centre)
    if stops and context.has_flow:
        yield rated(context, context.point.pump_head, context.point.flow, self_priming=True)


def _above(context: Context, path: AirPath, hump: SuctionHump) -> float:
    """Height [m] of a high point above the water, at the worst heel and trim and lightest load."""
    share = hump.distance / path.profile.pump_at
    return height_above_water(
        context.job.intake, context.job.pump, share, hump.height, context.job.boat
    )


def _without_dip_or_hump(context: Context, suction: SuctionSide) -> Iterator[Action]:
    """Raise the dips of hoses, a clip or two, before rerouting or lowering anything."""
    yield from _dips_raised(context)
    yield from rising_line(context, suction)


def _dips_raised(context: Context) -> Iterator[Action]:
    """Raise low points of suction hoses that hang below the straight line between their ends."""
    network = context.network
    points: list[tuple[int, float | None, float, float]] = []
    for index, hose in enumerate(network.parts[: network.pump_index]):
        if isinstance(hose, Hose):
            start = network.heights[index - 1]
            *way, (length, end) = hose.points
            for along, height in way:
                straight = start + (end - start) * along / length
                if height < min(start, straight) - ROUNDING:
                    points.append((index, along, height, straight))
    led = list(_height_actions(context, points))
    if led:
        yield together(led)


def rising_line(context: Context, suction: SuctionSide) -> Iterator[Action]:
    """Heights for the whole line, so that the cure of one high point leaves no other.

    A unit that the pump draws through moves after the pump, at the same height: no hose brings it
    down. A strainer at the end of a lowered hose is mounted lower. A vented loop before the pump is
    removed: lowered, it would let the sea in.
    """
    points = [
        (move.part, None if not move.on_part else move.along, move.height, move.to)
        for move in suction.moves
    ]
    led = list(_height_actions(context, points))
    if led:
        yield together([*_vents(context), *_after_pump(context), *led])


def no_higher(context: Context, level: float) -> Iterator[Action]:
    """Everything before the pump brought down to a height [m], where it is higher."""
    network = context.network
    points: list[tuple[int, float | None, float, float]] = []
    for index, part in enumerate(network.parts[: network.pump_index]):
        if isinstance(part, Hose):
            *way, (_, end) = part.points
            points += [(index, at, height, level) for at, height in way if height > level]
            if end > level and not _carries_pump(context, index):
                points.append((index, None, end, level))
    yield from _height_actions(context, points)


def _height_actions(
    context: Context, points: Iterable[tuple[int, float | None, float, float]]
) -> Iterator[Action]:
    """Points of hoses (part, distance or None for its end, old height, new height) as actions."""
    led: dict[int, list[tuple[float, float]]] = {}
    mounted: list[Action] = []
    for part, along, height, to in points:
        rounded = (round_down if to < height else round_up)(to, "height", context.job.units)
        strainer = _strainer_at_end(context, part) if along is None and to < height else None
        if strainer is None:
            hose = context.network.parts[part]
            assert isinstance(hose, Hose)
            led.setdefault(part, []).append((hose.length if along is None else along, rounded))
        else:
            mounted.append(MoveStrainer(strainer, rounded))
    yield from (SetHeights(context.addresses[part], tuple(to)) for part, to in led.items())
    yield from mounted


def _after_pump(context: Context) -> Iterator[Action]:
    """The condensers before the pump moved past the hose that leads away from it."""
    network = context.network
    line = network.lines[network.line_of[network.pump_index]].parts
    behind = [i for i in line if i > network.pump_index]
    to = next((i for i in behind if isinstance(network.parts[i], Hose)), network.pump_index)
    for index, part in enumerate(network.parts[: network.pump_index]):
        if isinstance(part, Condenser):
            yield MovePart(context.addresses[index], context.addresses[to])


def _vents(context: Context) -> Iterator[Action]:
    """The vented loops before the pump removed."""
    network = context.network
    for index, part in enumerate(network.parts[: network.pump_index]):
        if isinstance(part, VentedLoop):
            yield RemovePart(context.addresses[index])


def _carries_pump(context: Context, hose: int) -> bool:
    beyond = at_end_of(context.job, context.addresses[hose])
    return any(isinstance(item.part, Pump) for item in beyond)


def _strainer_at_end(context: Context, hose: int) -> Address | None:
    beyond = at_end_of(context.job, context.addresses[hose])
    return next((item.address for item in beyond if isinstance(item.part, Strainer)), None)
