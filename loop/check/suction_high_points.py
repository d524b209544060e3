"""Findings about high points in the suction line."""

from collections.abc import Iterator
from functools import partial

from loop.air.air_paths import AirPath
from loop.air.suction_rise import SuctionHump, SuctionSide
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.margins.suction import ROUNDING, lowest_immersion
from loop.parts import Strainer
from loop.words import Action
from loop.words.actions import Address, MoveStrainer, SetHeights, together
from loop.words.base import at_end_of
from loop.words.numbers import round_down, round_up


def suction_high_points(context: Context, path: AirPath) -> Iterator[Draft]:
    """suction-above-water, suction-hump: one a high point, with what cures them all."""
    for hump in path.suction.humps:
        high_point = path.high_points[hump.high_point]
        above = _above(context, path, hump)
        stops = above > ROUNDING and not path.suction.self_priming
        lifted = stops and not hump.above_water
        yield draft(
            "suction-above-water" if stops else "suction-hump",
            "danger" if stops else "warning",
            context.at(high_point.part, high_point.along if high_point.on_part else None),
            {
                "case": "attitude" if lifted else None,
                "height": high_point.height,
                "drop": high_point.drop,
                "above": above if lifted else None,
            },
            partial(rising, context, path.suction),
        )


def _above(context: Context, path: AirPath, hump: SuctionHump) -> float:
    """Height [m] of a high point above the water, at the worst heel and trim and lightest load.

    A hose is taken to lead straight across the boat from the intake to the pump.
    """
    share = hump.distance / path.profile.pump_at
    intake, pump = context.job.intake, context.job.pump
    across, along = (
        (1 - share) * (start or 0.0) + share * (end or 0.0)
        for start, end in (
            (intake.off_centre, pump.off_centre),
            (intake.fore_aft, pump.fore_aft),
        )
    )
    return -lowest_immersion(hump.height, across, along, context.still)


def rising(context: Context, suction: SuctionSide) -> Iterator[Action]:
    """The heights of the whole line, so that what cures one high point leaves no other.

    Where a strainer hangs at the end of a hose that comes down, it is what is mounted lower.
    """
    units = context.job.units
    points: dict[int, list[tuple[float, float]]] = {}
    mounted: list[Action] = []
    for move in suction.moves:
        down = move.to < move.height
        to = (round_down if down else round_up)(move.to, "height", units)
        strainer = None if move.on_part or not down else _strainer_at_end(context, move.part)
        if strainer is None:
            points.setdefault(move.part, []).append((move.along, to))
        else:
            mounted.append(MoveStrainer(strainer, to))
    led = [SetHeights(context.addresses[part], tuple(to)) for part, to in points.items()]
    if led or mounted:
        yield together([*led, *mounted])


def _strainer_at_end(context: Context, hose: int) -> Address | None:
    beyond = at_end_of(context.job, context.addresses[hose])
    return next((item.address for item in beyond if isinstance(item.part, Strainer)), None)
