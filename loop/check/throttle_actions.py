"""Valves to set or to fit, as actions."""

import math
from collections.abc import Iterable, Iterator

from loop.balancing.throttle_valves import Throttle
from loop.check.context import Context
from loop.parts.seacock import SHUT_ANGLE
from loop.words.actions import Action, FitOrifice, FitValve, SetValve, together

# Significant digits of a printed K.
_DIGITS = 4


def valve_actions(context: Context, valves: Iterable[Throttle]) -> Action | None:
    """The valves of a balance or a limit, set together; None if there is none to set.

    A valve already at the required degree is omitted.
    """
    steps = [step for valve in valves for step in _valve_steps(context, valve)]
    return together(steps) if steps else None


def _valve_steps(context: Context, valve: Throttle) -> Iterator[Action]:
    there = None if valve.part is None else context.addresses[valve.part]
    if there is not None and round(valve.angle) == round(valve.was):
        return
    if there is not None and valve.angle < SHUT_ANGLE:
        yield SetValve(there, math.radians(valve.angle))
        return
    after = there or context.addresses[_part_before(context, valve)]
    if valve.angle < SHUT_ANGLE:
        angle = math.radians(valve.angle)
        yield FitValve(after, valve.bore, angle, valve.branch, valve.unit)
    else:
        yield FitOrifice(after, valve.bore, _round_up(valve.coefficient), valve.branch, valve.unit)


def _part_before(context: Context, valve: Throttle) -> int:
    """The part just before a new valve: the unit that it is set for, or the pump.

    On a bypass, the first part of its line.
    """
    network = context.network
    if valve.unit:
        return network.condenser_part(valve.unit)
    if not valve.branch:
        return network.pump_index
    return next(line.parts[0] for line in network.lines if line.branch == valve.branch)


def _round_up(coefficient: float) -> float:
    """K rounded up to the digits printed."""
    scale = 10.0 ** (math.ceil(math.log10(coefficient)) - _DIGITS)
    return math.ceil(coefficient / scale - 1e-9) * scale
