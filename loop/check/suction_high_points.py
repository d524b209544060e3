"""Findings about high points in the suction line."""

from collections.abc import Iterator
from functools import partial

from loop.air.air_paths import AirPath
from loop.air.suction_rise import SuctionHump, SuctionSide
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.margins.suction import ROUNDING, above_water
from loop.words import Action
from loop.words.actions import SetHeights, together
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
            partial(_rising, context, path.suction),
        )


def _above(context: Context, path: AirPath, hump: SuctionHump) -> float:
    """Height [m] of a high point above the water, at the worst heel and trim and lightest load."""
    share = hump.distance / path.profile.pump_at
    return above_water(context.job.intake, context.job.pump, share, hump.height, context.job.boat)


def _rising(context: Context, suction: SuctionSide) -> Iterator[Action]:
    """The heights of the whole line, so that what cures one high point leaves no other."""
    units = context.job.units
    points: dict[int, list[tuple[float, float]]] = {}
    for move in suction.moves:
        rounded = round_down if move.to < move.height else round_up
        points.setdefault(move.part, []).append((move.along, rounded(move.to, "height", units)))
    if points:
        yield together(
            SetHeights(context.addresses[part], tuple(to)) for part, to in points.items()
        )
