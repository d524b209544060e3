"""The loop drawn for a phone: heights along the flow path, text as text."""

from dataclasses import dataclass

from loop.check import CheckResult
from loop.job import locate
from loop.units import System
from loop.words.numbers import exact
from loop.words.service_card import SAY

_WIDTH, _HEIGHT = 360.0, 300.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 62.0, 12.0, 34.0, 34.0
# Space between the numbers of two parts, and the most that fit above and below the line.
_APART = 19.0
_MOST = 2 * int((_WIDTH - _LEFT - _RIGHT) / _APART)
# Kinds that are too numerous, or of too little interest in a locker.
_UNMARKED = ("hose", "elbow", "tee", "fitting", "manifold")


@dataclass(frozen=True)
class Mark:
    """A part in the drawing: number, name, kind, its position, and the position of its number."""

    number: int
    name: str
    kind: str
    x: float
    y: float
    label_x: float
    label_y: float


@dataclass(frozen=True)
class Level:
    """A height labeled at the side."""

    text: str
    y: float


@dataclass(frozen=True)
class Drawing:
    """What the template draws; lengths in the drawing's own units."""

    width: float
    height: float
    left: float
    right: float
    lines: tuple[str, ...]
    waterline: float
    levels: tuple[Level, ...]
    marks: tuple[Mark, ...]
    in_words: str


def drawing(result: CheckResult, in_words: str) -> Drawing:
    """The profile of every path from sea to sea; parts that matter on a call are numbered."""
    ways = [path.profile.points for path in result.air]
    every = [point for points in ways for point in points]
    reach = max(max(point.distance for point in every), 0.1)
    top = max(max(point.height for point in every), 0.05)
    low = min(min(point.height for point in every), -0.05)

    def place(distance: float, height: float) -> tuple[float, float]:
        x = _LEFT + distance / reach * (_WIDTH - _LEFT - _RIGHT)
        return x, _TOP + (top - height) / (top - low) * (_HEIGHT - _TOP - _BOTTOM)

    lines = [[place(p.distance, p.height) for p in points] for points in ways]
    at = {p.part: place(p.distance, p.height) for points in reversed(ways) for p in points}
    waterline = place(0.0, 0.0)[1]
    return Drawing(
        width=_WIDTH,
        height=_HEIGHT,
        left=_LEFT,
        right=_WIDTH - _RIGHT,
        lines=tuple(" ".join(f"{x:.1f},{y:.1f}" for x, y in line) for line in lines),
        waterline=waterline,
        levels=_levels(top, low, waterline, place(0.0, top)[1], place(0.0, low)[1], result),
        marks=_marks(result, at),
        in_words=in_words,
    )


def _levels(
    top: float, low: float, waterline: float, at_top: float, at_low: float, result: CheckResult
) -> tuple[Level, ...]:
    system: System = result.job.units
    found = [Level(SAY("sea"), waterline)]
    for height, y in ((top, at_top), (low, at_low)):
        if abs(y - waterline) > 14:
            found.append(Level(exact(height, "height", system), y))
    return tuple(found)


def _marks(result: CheckResult, at: dict[int, tuple[float, float]]) -> tuple[Mark, ...]:
    """Numbered parts, their numbers alternating above and below without overlap."""
    located, parts = locate(result.job.part), result.point.network.parts
    shown = [i for i in sorted(at) if parts[i].kind not in _UNMARKED][:_MOST]
    shown.sort(key=lambda i: at[i][0])
    rows = (shown[0::2], shown[1::2])
    label: dict[int, tuple[float, float]] = {}
    for y, row in zip((14.0, _HEIGHT - 6.0), rows, strict=True):
        xs = _spread([at[i][0] for i in row])
        label |= {i: (x, y) for i, x in zip(row, xs, strict=True)}
    return tuple(
        Mark(number, located[i].label, parts[i].kind, *at[i], *label[i])
        for number, i in enumerate(shown, 1)
    )


def _spread(wanted: list[float]) -> list[float]:
    """Positions in rising order, spaced apart, inside the drawing and near the wanted ones."""
    placed: list[float] = []
    for x in wanted:
        placed.append(max(x, placed[-1] + _APART if placed else _LEFT))
    limit = _WIDTH - _RIGHT
    for i in range(len(placed) - 1, -1, -1):
        placed[i] = min(placed[i], limit)
        limit = placed[i] - _APART
    return placed
