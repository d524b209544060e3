"""Falling legs of a network, and the sections of hose in which they may hold air."""

import math
from dataclasses import field
from typing import Literal

from loop.hydraulics.clearing import TESTED_SLOPE
from loop.records import dataclass

# Valve at a leg's high point, which lets air out for good, or in.
Valve = Literal["bleed", "vented loop"]
Outlet = Literal["air", "water"]


@dataclass(frozen=True)
class Piece:
    """A straight piece of hose, between two lengths along it [m], and its fall [m].

    The fall is negative where the piece rises, by less than makes a low point.
    """

    part: int
    start: float
    end: float
    fall: float = field(compare=False)

    def __hash__(self) -> int:
        """Hash of the fields that distinguish most pieces: lookups are frequent."""
        return hash((self.part, self.end))

    @property
    def slope(self) -> float:
        """Angle below horizontal [rad], 0 where it rises."""
        return math.asin(min(max(self.fall / (self.end - self.start), 0.0), 1.0))


@dataclass(frozen=True)
class Section:
    """Consecutive pieces of hose of one bore [m], on one line and in one leg.

    ``shares`` are the hoses' indices and the share of each hose's length; ``fall`` [m] is the total
    of the pieces. ``clears`` is the band of Froude numbers in which water may sweep the air out,
    for the piece that is hardest to sweep; above ``holds`` no cavity climbs any of the pieces;
    ``slope`` [rad] is the steepest.
    """

    line: int
    bore: float
    pieces: tuple[Piece, ...]
    shares: tuple[tuple[int, float], ...]
    fall: float
    clears: tuple[float, float]
    holds: float
    slope: float

    @property
    def extrapolated(self) -> bool:
        """Whether it is steeper than the slopes on which the clearing relations were measured."""
        return self.slope > TESTED_SLOPE


@dataclass(frozen=True)
class Leg:
    """From a high point on the pressure side to the next low point, or to the outlet.

    ``sections`` index `Network.sections`, from the top down; ``top`` and ``bottom`` are heights
    [m], ``from_part`` and ``to_part`` the parts that end or turn there, ``along`` the length from
    the first's start [m]. ``outlet`` is what the leg ends in, None at a low point. ``valve`` is the
    valve at the high point; a bleed counts only if the air that it lets out stays out
    (`Profile.bleed_lasts`). ``line`` is the line of the high point. For a leg with a valve,
    ``shares_downstream`` are the shares of that line's part losses downstream of the high point,
    and ``lines_downstream`` the lines that follow on the path to the sea; for other legs both are
    empty.
    """

    sections: tuple[int, ...]
    branch: str
    from_part: int
    along: float
    to_part: int
    top: float
    bottom: float
    outlet: Outlet | None
    valve: Valve | None
    line: int
    shares_downstream: tuple[tuple[int, float], ...]
    lines_downstream: tuple[int, ...]

    @property
    def depends_on_pressure(self) -> bool:
        """Whether the pressure at its valve decides its state."""
        return self.valve is not None
