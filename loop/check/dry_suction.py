"""Findings about the air that a self-priming pump draws out of its suction hose."""

import math
from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.suction_high_points import no_higher
from loop.check.wider_hose import wider_hose
from loop.hydraulics import installed_pump
from loop.parts import CheckValve, Hose
from loop.parts.step import narrower
from loop.words import Action, Level, Value
from loop.words.actions import MovePump, together
from loop.words.numbers import round_down

# Least air [m³] in the suction above the water to report, half a gallon, drawn at each start by a
# pump that runs dry meanwhile; air that it draws over its greatest flow of water; and how long
# [s] its seal stands that. Engineering estimates.
_MUCH_AIR, _DRAWN, _DRY = 1.9e-3, 0.05, 300.0


def dry_findings(context: Context) -> Iterator[Draft]:
    """suction-dry: much hose above the water before a self-priming pump."""
    network, pump = context.network, context.network.pump_index
    before = network.parts[:pump]
    if not network.pump.curve.self_priming or any(isinstance(p, CheckValve) for p in before):
        return
    held = {
        index: _volume_above_water(part, network.heights[index - 1], context.job.boat.light_rise)
        for index, part in enumerate(before)
        if isinstance(part, Hose)
    }
    air = sum(held.values())
    if air >= _MUCH_AIR:
        longest = max(held, key=lambda index: held[index])
        most = float(installed_pump(network).last_flow[0])
        dry = air / (_DRAWN * most)
        values: dict[str, Value | None] = {"part": context.addresses[longest], "air": air}
        if dry > _DRY:
            values |= {"case": "long", "minutes": round(dry / 60)}
        level: Level = "warning" if dry > _DRY else "note"
        wide = [index for index, own in held.items() if own > 0]
        yield draft(
            "suction-dry", level, context.place(longest), values, partial(_less_air, context, wide)
        )


def _less_air(context: Context, dry: list[int]) -> Iterator[Action]:
    """The hoses above the water in the bore of the pump's port; or the pump down at the water."""
    network = context.network
    port = network.pump.inner_bore
    wide = [index for index in dry if narrower(port, network.parts[index].inner_bore)]
    if wide:
        yield wider_hose(context, wide, port, hull=False)
    level = round_down(-context.job.boat.light_rise, "height", context.job.units)
    yield together([MovePump(context.pump_address, level), *no_higher(context, level)])


def _volume_above_water(hose: Hose, start: float, rise: float) -> float:
    """Volume [m³] of the part of a hose that lies above the water with the boat light."""
    length = 0.0
    for (along, low), (to, high) in pairwise([(0.0, start), *hose.points]):
        bottom, top = sorted((low + rise, high + rise))
        if top > 0:
            length += (to - along) * (1.0 if bottom >= 0 else top / (top - bottom))
    return math.pi / 4 * hose.inner_bore**2 * length
