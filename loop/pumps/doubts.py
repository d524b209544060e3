"""Implausible values in a pump file: a mistyped row, or a unit mistaken for another."""

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

# Range of best efficiency, hydraulic over electrical power, of small pumps with their motors
# (common practice: 10 to 40 %); outside this range an error in a row is more likely than such
# a pump (engineering estimate). Heads entered in meters instead of feet triple it.
MIN_EFFICIENCY, MAX_EFFICIENCY = 0.03, 0.40
# Highest best efficiency below this power [W], of AC pumps, whose motors waste most of it, and of
# DC pumps: engineering estimates, for AC pumps twice what is sold (9 to 12 %, from memory).
_SMALL, _MAX_SMALL = 100.0, {"ac": 0.25, "dc": 0.35}
# Speed [rpm] of the fastest common motors, two poles on 60 Hz, and specific speed n √Q / H^(3/4)
# [rpm, m³/s, m] below which single impellers are not built: 10, from memory, of textbooks on
# centrifugal pumps. Some DC motors turn faster, so only more than twice that head is doubted.
_SPEED, _LEAST_SPECIFIC_SPEED, _DOUBTED = 3600.0, 10.0, 2.0
_POINTS = 200


@dataclass(frozen=True)
class Doubt:
    """One implausible value.

    ``value`` is the best efficiency, as a share; the velocity head [m] in the port; or the head [m]
    at the ``flow`` [m³/s] where flow times head is greatest.
    """

    code: Literal["too-efficient", "too-wasteful", "port-too-small", "too-much-head"]
    value: float
    flow: float = math.nan


def efficiency(pump: PumpCurve, flow: Array) -> Array:
    """Hydraulic power over electrical power at `flow` [m³/s]; NaN where that is unknown.

    For fresh water, with which pumps are tested.
    """
    return np.asarray(FRESH_WATER * flow * pump.head(flow) / pump.power(flow))


def max_efficiency(pump: PumpCurve) -> float:
    """Best efficiency, as a share, above which a pump's values are doubted."""
    if pump.power_curve is None:
        return MAX_EFFICIENCY
    power = float(np.asarray(pump.power(np.linspace(0.0, pump.last_flow, _POINTS))).max())
    return _MAX_SMALL[pump.drive] if power < _SMALL else MAX_EFFICIENCY


def port_head(pump: PumpCurve) -> float:
    """Velocity head [m] in the pump's port at its last flow."""
    speed = pump.last_flow / (math.pi / 4 * pump.port**2)
    return 1000.0 * speed**2 / 2 / FRESH_WATER


def most_head(flow: float) -> float:
    """The most head [m] that a centrifugal pump with one impeller gives at its best `flow` [m³/s].

    By specific speed: the smaller the flow, the narrower an impeller of a given head.
    """
    return float((_SPEED * flow**0.5 / _LEAST_SPECIFIC_SPEED) ** (4 / 3))


def doubts(pump: PumpCurve) -> tuple[Doubt, ...]:
    """The first implausible value found in a pump's data, or none.

    A pump on a test bench supplies the velocity head in its own port, which therefore cannot exceed
    its shut-off head. Where it works best, one impeller must give its head. Efficiency is checked
    if the power is known.
    """
    port = port_head(pump)
    if port > pump.shutoff_head:
        return (Doubt("port-too-small", port),)
    flows = np.linspace(0.0, pump.last_flow, _POINTS)
    heads = np.asarray(pump.head(flows))
    middle = int(np.argmax(flows * heads))
    if heads[middle] > _DOUBTED * most_head(float(flows[middle])):
        return (Doubt("too-much-head", float(heads[middle]), float(flows[middle])),)
    if pump.power_curve is None:
        return ()
    best = float(efficiency(pump, flows).max())
    if best > max_efficiency(pump):
        return (Doubt("too-efficient", best),)
    return (Doubt("too-wasteful", best),) if best < MIN_EFFICIENCY else ()


def closest_catalogue_pump(pump: PumpCurve) -> PumpCurve:
    """The catalogue pump closest to this one in last flow and shut-off head.

    Of the same drive, if the catalogue has one.
    """
    all_pumps = [load_pump(name) for name in catalogue()]
    same_drive = [other for other in all_pumps if other.drive == pump.drive] or all_pumps
    return min(
        same_drive,
        key=lambda other: (
            abs(np.log(other.last_flow / pump.last_flow))
            + abs(np.log(other.shutoff_head / pump.shutoff_head))
        ),
    )


def remarks(pump: PumpCurve) -> list[str]:
    """Notes for a reader of the curve: that it is an estimate, and implausible values."""
    lines = []
    plate = pump.curve.nameplate
    if plate is not None:
        guess = wrong("plate-guess", what=plate.estimated) if plate.estimated else ""
        lines.append(wrong("plate-only", guess=guess))
    for doubt in doubts(pump):
        quantity = "head" if doubt.code in ("port-too-small", "too-much-head") else "ratio"
        lines.append(wrong(doubt.code, value=show(doubt.value, quantity, "us")))
    return lines
