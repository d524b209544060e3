"""What can hardly be in a pump's file: a mistyped row, or a unit taken for another."""

import math
from typing import Literal

import numpy as np

from loop.catalogue import catalogue
from loop.curve import Array
from loop.pumps.curve import PumpCurve
from loop.pumps.files import load_pump
from loop.pumps.nameplate import FRESH_WATER
from loop.records import dataclass
from loop.units import show
from loop.wrong import wrong

# Best efficiency, water's power over electrical, between which small pumps with their motors lie
# (common practice: 10 to 40 %); outside these a row is more likely wrong than the pump that good or
# that bad (engineering estimate). Heads in metres for feet make three times of it.
LEAST_EFFICIENCY, MOST_EFFICIENCY = 0.03, 0.40
# The most of those of less than so many watts [W]: of AC pumps, whose motors waste most of it, and
# of DC pumps. Engineering estimates, twice what is sold of AC pumps (9 to 12 %, from memory).
_SMALL, _MOST_SMALL = 100.0, {"ac": 0.25, "dc": 0.35}
_POINTS = 200


@dataclass(frozen=True)
class Doubt:
    """One thing that can hardly be.

    ``value`` is the best efficiency, as a share, or the velocity head [m] in the port.
    """

    code: Literal["too-efficient", "too-wasteful", "port-too-small"]
    value: float


def efficiency(pump: PumpCurve, flow: Array) -> Array:
    """The water's power over the electrical power at `flow` [m³/s]; NaN where that is unknown.

    In fresh water, with which pumps are tested.
    """
    return np.asarray(FRESH_WATER * flow * pump.head(flow) / pump.power(flow))


def most_efficiency(pump: PumpCurve) -> float:
    """The best efficiency, as a share, past which a pump's figures are doubted."""
    if pump.power_curve is None:
        return MOST_EFFICIENCY
    drawn = float(np.asarray(pump.power(np.linspace(0.0, pump.last_flow, _POINTS))).max())
    return _MOST_SMALL[pump.drive] if drawn < _SMALL else MOST_EFFICIENCY


def port_head(pump: PumpCurve) -> float:
    """Velocity head [m] of the pump's greatest flow in its port."""
    speed = pump.last_flow / (math.pi / 4 * pump.port**2)
    return 1000.0 * speed**2 / 2 / FRESH_WATER


def doubts(pump: PumpCurve) -> tuple[Doubt, ...]:
    """What can hardly be in a pump's figures: the first that is found, or nothing.

    A pump on a test bench makes the velocity head of its own water, which is then no more than the
    most head that it has. Its efficiency is asked where its power is known.
    """
    jet = port_head(pump)
    if jet > pump.shutoff_head:
        return (Doubt("port-too-small", jet),)
    if pump.power_curve is None:
        return ()
    best = float(efficiency(pump, np.linspace(0.0, pump.last_flow, _POINTS)).max())
    if best > most_efficiency(pump):
        return (Doubt("too-efficient", best),)
    return (Doubt("too-wasteful", best),) if best < LEAST_EFFICIENCY else ()


def like(pump: PumpCurve) -> PumpCurve:
    """The catalogue's pump that is most like this one in most flow and in shut-off head.

    Of its own drive, where the catalogue has one.
    """
    all_pumps = [load_pump(name) for name in catalogue()]
    own = [other for other in all_pumps if other.drive == pump.drive] or all_pumps
    return min(
        own,
        key=lambda other: (
            abs(np.log(other.last_flow / pump.last_flow))
            + abs(np.log(other.shutoff_head / pump.shutoff_head))
        ),
    )


def remarks(pump: PumpCurve) -> list[str]:
    """What a reader of the curve must know: that it is an estimate, and what can hardly be."""
    lines = []
    plate = pump.curve.nameplate
    if plate is not None:
        guess = wrong("plate-guess", what=plate.estimated) if plate.estimated else ""
        lines.append(wrong("plate-only", guess=guess))
    for doubt in doubts(pump):
        quantity = "head" if doubt.code == "port-too-small" else "ratio"
        lines.append(wrong(doubt.code, value=show(doubt.value, quantity, "us")))
    return lines
