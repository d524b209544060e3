"""Find the falling legs on every path to the sea, cut into sections of one bore."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby, takewhile

from loop.hydraulics.cavity import cavity_froude
from loop.hydraulics.clearing import clearing_froude
from loop.hydraulics.layout import Layout, layout_of
from loop.hydraulics.legs import Leg, Piece, Section, Valve
from loop.hydraulics.line_profile import (
    LEAST_SWING,
    Flat,
    Profile,
    Turn,
    is_on_flat,
    profiles,
    turns,
)
from loop.hydraulics.network import Network
from loop.parts import Condenser, Hose, VentedLoop
from loop.records import dataclass


@dataclass(frozen=True)
class _PathLeg:
    """A leg on one path, before its pieces are grouped into sections."""

    pieces: tuple[Piece, ...]
    leg: Leg


def falls_to_pump(line: Profile, flat: Flat, top: int) -> bool:
    """Whether a high point lies before the pump and the line falls from it to the pump."""
    return flat.last < line.pump and line.fall_between(top, line.pump) >= LEAST_SWING - 1e-9


def bleed_reach(swing: float) -> float:
    """Height tolerance [m] within which a bleed counts as at a high or low point."""
    return min(LEAST_SWING, swing / 2)


def find_legs(network: Network) -> tuple[tuple[Section, ...], tuple[Leg, ...]]:
    """All sections that may hold air, by line and in flow order, and the legs they form."""
    found, held = _found(layout_of(network))
    sections = tuple(
        _section(network, number, run)
        for number, pieces in held
        for run in _of_one_bore(network, pieces)
    )
    section_of = {
        piece: number for number, section in enumerate(sections) for piece in section.pieces
    }
    legs: dict[tuple[object, ...], Leg] = {}
    for leg in found:
        numbers = tuple(dict.fromkeys(section_of[piece] for piece in leg.pieces))
        key = (leg.leg.from_part, leg.leg.along, numbers)
        legs.setdefault(key, replace(leg.leg, sections=numbers))
    return sections, tuple(legs.values())


# Cached: options of a sizing and trials of a check mostly differ in sizes alone.
@lru_cache(maxsize=16)
def _found(
    layout: Layout,
) -> tuple[tuple[_PathLeg, ...], tuple[tuple[int, tuple[Piece, ...]], ...]]:
    """The legs on all paths; and by line, in flow order, their consecutive pieces."""
    network, paths = layout.network, profiles(layout.network)
    found = tuple(_legs_on_paths(network, paths))
    held = {piece for leg in found for piece in leg.pieces}
    every: dict[int, list[Piece]] = {}
    for _, line in paths if found else ():
        own: dict[int, list[Piece]] = {}
        for at, point in enumerate(line.points):
            if at and (number := network.line_of[point.part]) not in every:
                own.setdefault(number, []).extend(pieces_between(line, at - 1, at))
        every |= own
    return found, tuple(
        (number, pieces)
        for number in sorted(every)
        for pieces in _leg_runs(network, number, every[number], held)
    )


def pieces_between(line: Profile, first: int, last: int) -> Iterator[Piece]:
    """The straight pieces of hose between two positions on a path."""
    for here, there in zip(line.points[first:last], line.points[first + 1 : last + 1], strict=True):
        start = here.along if here.part == there.part else 0.0
        if there.along > start:  # not a part without length, or a height step from tape error
            yield Piece(there.part, start, there.along, here.height - there.height)


def _leg_runs(
    network: Network, line: int, pieces: Sequence[Piece], held: Collection[Piece]
) -> Iterator[tuple[Piece, ...]]:
    """Runs of consecutive leg pieces on a line with no condenser between."""
    units = [i for i in network.lines[line].parts if isinstance(network.parts[i], Condenser)]
    run = 0
    marked = []
    for piece in pieces:
        run += piece not in held
        if piece in held:
            passed = sum(unit < piece.part for unit in units)
            marked.append(((run, passed), piece))
    for _, group in groupby(marked, key=lambda mark: mark[0]):
        yield tuple(piece for _, piece in group)


def _of_one_bore(network: Network, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, ...]]:
    """Runs of consecutive pieces of one bore."""
    for _, group in groupby(pieces, key=lambda piece: network.parts[piece.part].inner_bore):
        yield tuple(group)


def _section(network: Network, line: int, pieces: tuple[Piece, ...]) -> Section:
    bore = network.parts[pieces[0].part].inner_bore
    shares: dict[int, float] = {}
    for piece in pieces:
        hose = network.parts[piece.part]
        assert isinstance(hose, Hose)
        shares[piece.part] = shares.get(piece.part, 0.0) + (piece.end - piece.start) / hose.length
    slopes = tuple(piece.slope for piece in pieces)
    hardest = max(slopes)
    return Section(
        line=line,
        bore=bore,
        pieces=pieces,
        shares=tuple(shares.items()),
        fall=sum(piece.fall for piece in pieces),
        clears=_clearing_band(hardest),
        holds=_holding_froude(bore, slopes, network.water.density),
        slope=hardest,
    )


# Cached: a trial differs by one change from the loop before it, so most sections recur.
@lru_cache(maxsize=4096)
def _clearing_band(slope: float) -> tuple[float, float]:
    low, high = clearing_froude(slope)
    return float(low), float(high)


@lru_cache(maxsize=4096)
def _holding_froude(bore: float, slopes: tuple[float, ...], density: float) -> float:
    return float(cavity_froude(bore, slopes, density).max())


def _legs_on_paths(network: Network, paths: Iterable[tuple[str, Profile]]) -> Iterator[_PathLeg]:
    """The legs of each path, except those on the stretch shared with the previous path."""
    before: tuple[Turn, ...] = ()
    parts: list[int] = []
    for branch, line in paths:
        found, last = turns(line.heights_to_sea), parts
        parts = [point.part for point in line.points]
        same = (one == other for one, other in zip(parts, last, strict=False))
        shared = sum(1 for _ in takewhile(bool, same))
        for number in range(1, len(found) - 1):
            around = slice(number - 1, number + 2)
            known = found[number + 1].position < shared and found[around] == before[around]
            if found[number].high and not known:
                leg = _leg(network, branch, line, found, number)
                if leg is not None:
                    yield leg
        before = found


def _leg(
    network: Network, branch: str, line: Profile, found: Sequence[Turn], number: int
) -> _PathLeg | None:
    top, low = found[number].position, found[number + 1].position
    height, bottom = line.heights_to_sea[top], line.heights_to_sea[low]
    swing = height - max(bottom, line.heights_to_sea[found[number - 1].position])
    flat = line.flat_around(top, bleed_reach(swing))
    if falls_to_pump(line, flat, top):
        return None
    first, last = max(flat.first, line.pump), max(flat.last, line.pump)
    pieces = tuple(pieces_between(line, first, low))
    if not pieces:
        return None
    ends = all(abs(point.height - bottom) < LEAST_SWING for point in line.points[low:])
    place, end = line.points[last], line.points[low]
    own = network.line_of[place.part]
    valve = _valve(network, line, flat, height, (last, low))
    return _PathLeg(
        pieces,
        Leg(
            sections=(),
            branch=branch,
            from_part=place.part,
            along=place.along if line.inside_part(last) else 0.0,
            to_part=end.part,
            top=height,
            bottom=bottom,
            outlet=("water" if bottom < 0 else "air") if ends else None,
            valve=valve,
            line=own,
            shares_downstream=_shares_downstream(network, line, last, own) if valve else (),
            lines_downstream=_lines_downstream(network, line, last, own) if valve else (),
        ),
    )


def _shares_downstream(
    network: Network, line: Profile, last: int, own: int
) -> tuple[tuple[int, float], ...]:
    """Shares of part losses downstream of a point of the path, on its own line."""
    place, parts = line.points[last], network.lines[own].parts
    part = network.parts[place.part]
    rest = 1 - place.along / part.length if isinstance(part, Hose) else 0.0
    downstream = tuple((index, 1.0) for index in parts[parts.index(place.part) + 1 :])
    return ((place.part, rest), *downstream) if rest > 0 else downstream


def _lines_downstream(network: Network, line: Profile, last: int, own: int) -> tuple[int, ...]:
    """Lines of the path after the point's own line."""
    lines = dict.fromkeys(network.line_of[point.part] for point in line.points[last:])
    return tuple(number for number in lines if number != own)


def _valve(
    network: Network, line: Profile, flat: Flat, height: float, span: tuple[int, int]
) -> Valve | None:
    """A vented loop at the high point or on the leg, otherwise a bleed at the high point.

    A bleed does not count if the line drains while the pump is stopped: it helps only when opened
    by hand.
    """
    for point in line.points[flat.first : span[1] + 1]:
        if isinstance(network.parts[point.part], VentedLoop):
            return "vented loop"
    for place in line.bleeds_at if line.bleed_lasts(flat) else ():
        if is_on_flat(place, height, (flat.start, flat.end)):
            return "bleed"
    return None
