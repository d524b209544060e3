"""Pressure of the water along its way, and where there is a film or air in place of it."""

from typing import Literal

from loop.hydraulics.find_legs import pieces_between
from loop.hydraulics.legs import Piece
from loop.hydraulics.line_profile import Profile
from loop.hydraulics.point import OperatingPoint, Station
from loop.parts.friction import GRAVITY
from loop.records import dataclass

# Gauge pressure [Pa] below which a valve draws air: rounding of heads, 1e-8 m, apart.
_NEGATIVE = -1.0

Holds = Literal["water", "film", "air"]


@dataclass(frozen=True)
class Along:
    """The line at one point of a way from the sea to the sea.

    ``distance`` [m] from the intake and ``height`` [m] above the waterline; ``part`` the index of
    the part that ends or turns here, ``along`` the length from its start [m]. Total head [m],
    gauge pressure [Pa], speed of the water [m/s] were the line full. ``holds`` says what is in the
    stretch that ends here: water, a film of water falling through air, or, where nothing runs and
    no water stands so high, air.
    """

    distance: float
    height: float
    part: int
    along: float
    total_head: float
    gauge_pressure: float
    velocity: float
    holds: Holds


def along_way(point: OperatingPoint, line: Profile) -> tuple[Along, ...]:
    """The line at each of a way's points.

    Along a hose the head changes evenly with length, whichever way the water runs; where water
    falls as a film, with the height, so that the pressure there is all one.
    """
    heads: dict[tuple[int, float], tuple[float, Holds]] = {}
    pieces: dict[int, list[Piece]] = {}
    for piece in pieces_between(line, 0, len(line.points) - 1):
        pieces.setdefault(piece.part, []).append(piece)
    for part, own in pieces.items():
        heads |= _along_hose(point.stations[part], own, point.films)
    found = []
    for place in line.points:
        station = point.stations[place.part]
        head, holds = heads.get(
            (place.part, place.along), (station.total_head, "film" if station.film else "water")
        )
        # Past a discharge the jet has spent its velocity head.
        moving = 0.0 if station.kind == "discharge" else station.velocity**2 / (2 * GRAVITY)
        pressure = point.network.water.density * GRAVITY * (head - place.height - moving)
        dry = station.flow == 0 and place.height > 0 and pressure <= 0
        found.append(
            Along(
                distance=place.distance,
                height=place.height,
                part=place.part,
                along=place.along,
                total_head=head,
                gauge_pressure=float(pressure),
                velocity=station.velocity,
                holds="air" if dry else holds,
            )
        )
    return tuple(found)


def _along_hose(
    station: Station, pieces: list[Piece], films: frozenset[Piece]
) -> dict[tuple[int, float], tuple[float, Holds]]:
    """Total head at the end of each piece of a hose, and what is in it."""
    falling = sum(piece.fall for piece in pieces if piece in films)
    wet = sum(piece.end - piece.start for piece in pieces if piece not in films)
    slope = (station.head_loss - falling) / wet if wet > 0 else 0.0
    head = station.total_head + station.head_loss
    found: dict[tuple[int, float], tuple[float, Holds]] = {}
    for piece in pieces:
        film = piece in films
        head -= piece.fall if film else slope * (piece.end - piece.start)
        found[piece.part, piece.end] = head, "film" if film else "water"
    return found


def gauge_pressure(point: OperatingPoint, line: Profile, position: int) -> float:
    """Gauge pressure [Pa] at a point of the way, as `along_way` has it."""
    return along_way(point, line)[position].gauge_pressure


def draws_air(point: OperatingPoint, line: Profile, position: int) -> bool:
    """Whether a valve opened there while the water runs would let air in."""
    flowing = point.flow_through(line.points[position].part) != 0
    return flowing and gauge_pressure(point, line, position) < _NEGATIVE
