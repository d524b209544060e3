"""One path through the loop laid out across the page: hoses by length, other parts evenly."""

import numpy as np

from loop.curve import Array
from loop.hydraulics import OperatingPoint
from loop.hydraulics.line_profile import Profile, profile
from loop.parts import Hose
from loop.records import dataclass

# Left and right edge of the panel on the same scale.
ACROSS = (-0.015, 1.015)
# Share of the page's width divided evenly among all parts, its limit, and its growth with each
# part past a dozen; hoses share the rest by length.
_EVEN, _EVEN_MOST, _EVEN_GROWS = 0.45, 0.75, 0.015


@dataclass(frozen=True)
class Place:
    """A part on the page: its index, and where it starts and ends across, 0 to 1."""

    index: int
    start: float
    end: float

    @property
    def middle(self) -> float:
        """Middle of the part across the page."""
        return (self.start + self.end) / 2


@dataclass(frozen=True)
class Way:
    """A path laid out: ``line`` is its profile, ``places`` its parts across the page.

    ``x`` and ``heights`` [m] are the corners of the line as drawn; ``shown`` is the range across
    the page that a panel shows.
    """

    line: Profile
    places: tuple[Place, ...]
    x: Array
    heights: Array
    shown: tuple[float, float] = (0.0, 1.0)

    def shows(self, x: float) -> bool:
        """Whether the panel shows this position across."""
        return self.shown[0] - 1e-9 <= x <= self.shown[1] + 1e-9

    def across(self, part: int, along: float, length: float) -> float:
        """Position across the page of a point `along` [m] a part of `length` [m]."""
        place = next(p for p in self.places if p.index == part)
        share = along / length if length > 0 else 1.0
        return place.start + (place.end - place.start) * min(max(share, 0.0), 1.0)

    def stretch(self, start: float, end: float) -> tuple[Array, Array]:
        """Corners of the line between two distances [m] along the hoses: across, and heights."""
        low, high = self._at(start, last=True), self._at(end, last=False)
        inner = (self.x > low) & (self.x < high)
        x = np.concatenate([[low], self.x[inner], [high]])
        return x, np.interp(x, self.x, self.heights)

    def _at(self, distance: float, last: bool) -> float:
        """Position across at a distance; of parts without length there, past the last or before."""
        along = np.array([0.0, *(point.distance for point in self.line.points)])
        here = self.x[abs(along - distance) <= 1e-9]
        if len(here):
            return float(here[-1 if last else 0])
        return float(np.interp(distance, along, self.x))


def lay_out(point: OperatingPoint, parts: tuple[int, ...]) -> Way:
    """The path through these parts, laid out from 0 to 1 across the page."""
    network = point.network
    held = [network.parts[index] for index in parts]
    lengths = np.array([part.length if isinstance(part, Hose) else 0.0 for part in held])
    total = float(lengths.sum())
    even = min(_EVEN + _EVEN_GROWS * max(len(parts) - 12, 0), _EVEN_MOST) if total > 0 else 1.0
    widths = even / len(parts) + (1 - even) * lengths / max(total, 1e-9)
    edges = np.concatenate([[0.0], np.cumsum(widths)]) / float(widths.sum())
    places = tuple(
        Place(index, float(a), float(b))
        for index, a, b in zip(parts, edges, edges[1:], strict=False)
    )
    line = profile(network, parts)
    x, heights = [0.0], [line.points[0].height]
    by_part = {place.index: place for place in places}
    for corner in line.points:
        place = by_part[corner.part]
        part = network.parts[corner.part]
        share = corner.along / part.length if isinstance(part, Hose) else 1.0
        x.append(place.start + share * (place.end - place.start))
        heights.append(corner.height)
    return Way(line, places, np.array(x), np.array(heights))
