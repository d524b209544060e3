"""The falling legs of a network, and the sections of hose in which each may hold air."""

import math
from dataclasses import field
from typing import Literal

from loop.hydraulics.clearing import TESTED_SLOPE
from loop.records import dataclass

# What lets air out of a leg's high point for good, or in.
Valve = Literal["bleed", "vented loop"]
Outlet = Literal["air", "water"]


@dataclass(frozen=True)
class Piece:
    """A straight piece of hose: from one length along it to another [m], and how far it falls [m].

    The fall is below zero where the piece rises, by less than makes a low point.
    """

    part: int
    start: float
    end: float
    fall: float = field(compare=False)

    def __hash__(self) -> int:
        """Of what tells most pieces apart, since those of a network are asked for many times."""
        return hash((self.part, self.end))

    @property
    def slope(self) -> float:
        """Angle below horizontal [rad], 0 where it rises."""
        return math.asin(min(max(self.fall / (self.end - self.start), 0.0), 1.0))


@dataclass(frozen=True)
class Section:
    """Pieces of hose that follow each other on one line and one leg, of one bore [m].

    ``fall`` [m] is theirs together. ``clears`` are the Froude numbers between which the water may
    sweep the air down, on the piece that is hardest to sweep, and ``holds`` that above which no
    cavity climbs any of them; ``slope`` [rad] is the steepest.
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
        """Whether it is steeper than the clearing relations were measured on."""
        return self.slope > TESTED_SLOPE


@dataclass(frozen=True)
class Leg:
    """From a high point on the pressure side to the next low point, or to the outlet.

    ``sections`` are numbers of `Network.sections`, from the top down; ``top`` and ``bottom``
    heights [m], ``from_part`` and ``to_part`` the parts that end or turn there, ``along`` the
    length from the first's start [m]. ``outlet`` says what the leg ends in, None at a low point.
    ``valve`` is what sits at the high point, a bleed only where what it lets out stays out
    (`Profile.lasts`); ``line`` the line of the high point. With a valve ``behind`` are the shares
    of its parts' losses that lie behind the high point, and ``after`` the lines that follow on the
    way to the sea; without one neither is asked for.
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
    behind: tuple[tuple[int, float], ...]
    after: tuple[int, ...]

    @property
    def tested(self) -> bool:
        """Whether its valve's pressure decides."""
        return self.valve is not None
