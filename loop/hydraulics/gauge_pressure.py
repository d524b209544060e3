"""Gauge pressure along a path, and where a film of water or air replaces a full bore."""

from collections.abc import Iterator, Sequence
from itertools import groupby, islice
from typing import Literal

from loop.hydraulics.find_legs import pieces_between
from loop.hydraulics.legs import Piece
from loop.hydraulics.line_profile import Profile
from loop.hydraulics.point import OperatingPoint, Station
from loop.parts.friction import GRAVITY
from loop.records import dataclass

# Gauge pressure [Pa] below which a valve draws air; allows for head rounding of 1e-8 m.
DRAWS_AIR_BELOW = -1.0

Content = Literal["water", "film", "air"]


@dataclass(frozen=True)
class PathState:
    """State of the line at one point of a path from sea to sea.

    ``distance`` [m] from the intake and ``height`` [m] above the waterline; ``part`` the index of
    the part that ends or turns here, ``along`` the length from its start [m]. Total head [m], gauge
    pressure [Pa] and water speed [m/s], each as if the line were full. ``content`` is the content
    of the stretch that ends here: water; a film of water falling through air; or air, where there
    is no flow and no water stands that high.
    """

    distance: float
    height: float
    part: int
    along: float
    total_head: float
    gauge_pressure: float
    velocity: float
    content: Content


def states_along_path(point: OperatingPoint, line: Profile) -> tuple[PathState, ...]:
    """State of the line at each point of a path.

    Along a hose the head changes linearly with length, in either flow direction; where water falls
    as a film it changes with height, so that the pressure there is uniform.
    """
    found: list[PathState] = []
    for number, group in groupby(range(len(line.points)), lambda at: line.points[at].part):
        found += _states_along_part(point, line, number, list(group))
    return tuple(found)


def _states_along_part(
    point: OperatingPoint, line: Profile, part: int, places: Sequence[int]
) -> Iterator[PathState]:
    """State of the line at consecutive points of one part."""
    station = point.stations[part]
    pieces = list(pieces_between(line, max(places[0] - 1, 0), places[-1]))
    heads = _heads_along_hose(station, pieces, point.films)
    # Beyond a discharge the jet has lost its velocity head.
    moving = 0.0 if station.kind == "discharge" else station.velocity**2 / (2 * GRAVITY)
    weight = point.network.water.density * GRAVITY
    for place in (line.points[at] for at in places):
        head, content = heads.get(
            place.along, (station.total_head, "film" if station.film else "water")
        )
        pressure = weight * (head - place.height - moving)
        dry = station.flow == 0 and place.height > 0 and pressure <= 0
        yield PathState(
            distance=place.distance,
            height=place.height,
            part=place.part,
            along=place.along,
            total_head=head,
            gauge_pressure=float(pressure),
            velocity=station.velocity,
            content="air" if dry else content,
        )


def _heads_along_hose(
    station: Station, pieces: list[Piece], films: frozenset[Piece]
) -> dict[float, tuple[float, Content]]:
    """Total head and content at the end of each piece of a hose, by position along it."""
    falling = sum(piece.fall for piece in pieces if piece in films)
    wet = sum(piece.end - piece.start for piece in pieces if piece not in films)
    slope = (station.head_loss - falling) / wet if wet > 0 else 0.0
    head = station.total_head + station.head_loss
    found: dict[float, tuple[float, Content]] = {}
    for piece in pieces:
        film = piece in films
        head -= piece.fall if film else slope * (piece.end - piece.start)
        found[piece.end] = head, "film" if film else "water"
    return found


def gauge_pressure(point: OperatingPoint, line: Profile, position: int) -> float:
    """Gauge pressure [Pa] at a point of the path, as in `states_along_path`."""
    first = last = position
    part = line.points[position].part
    while first > 0 and line.points[first - 1].part == part:
        first -= 1
    while last + 1 < len(line.points) and line.points[last + 1].part == part:
        last += 1
    here = _states_along_part(point, line, part, range(first, last + 1))
    return next(islice(here, position - first, None)).gauge_pressure


def draws_air(point: OperatingPoint, line: Profile, position: int) -> bool:
    """Whether a valve opened there, with water flowing, would let air in."""
    flowing = point.flow_through(line.points[position].part) != 0
    return flowing and gauge_pressure(point, line, position) < DRAWS_AIR_BELOW
