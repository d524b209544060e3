"""Pressure of the water along its way."""

from loop.hydraulics.line_profile import Profile
from loop.hydraulics.point import OperatingPoint
from loop.parts import Hose
from loop.parts.friction import GRAVITY

# Gauge pressure [Pa] below which a valve draws air: rounding of heads, 1e-8 m, apart.
_NEGATIVE = -1.0


def gauge_pressure(point: OperatingPoint, line: Profile, position: int) -> float:
    """Gauge pressure [Pa] at a point of the way.

    Along a hose the head is taken to change evenly between the stations at its ends, whichever way
    the water runs.
    """
    network, here = point.network, line.points[position]
    station, part = point.stations[here.part], network.parts[here.part]
    head = station.total_head
    if isinstance(part, Hose):
        others = (p.part for p in reversed(line.points[:position]) if p.part != here.part)
        before = point.stations[next(others)].total_head
        head = before + (head - before) * here.along / part.length
    column = head - here.height - station.velocity**2 / (2 * GRAVITY)
    return float(network.water.density * GRAVITY * column)


def draws_air(point: OperatingPoint, line: Profile, position: int) -> bool:
    """Whether a valve opened there while the water runs would let air in."""
    flowing = point.part_flow(line.points[position].part)[0] != 0
    return flowing and gauge_pressure(point, line, position) < _NEGATIVE
