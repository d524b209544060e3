"""A lesson's picture, before and after: where the pump's head goes, and the line with its air."""

from collections.abc import Callable, Iterator
from itertools import pairwise
from xml.sax.saxutils import escape

from loop.check import CheckResult
from loop.hydraulics.air_loss import head_lost_to_air
from loop.hydraulics.gauge_pressure import states_along_path
from loop.parts import Condenser, Discharge, Hose, Strainer
from loop.records import dataclass
from loop.teach.lessons.figures import LEG_TEXT
from loop.teach.lessons.lesson import Column, PlayedLesson
from loop.units import bare, label
from loop.words.course import SAY

# Keys of what uses the pump's head, each with a shade that stays distinct in black and white.
GROUPS = {
    "picture-hoses": "#1f5f8b",
    "picture-air": "#f2c14e",
    "picture-strainer": "#8fb339",
    "picture-unit": "#c8553d",
    "picture-fittings": "#8d99ae",
    "picture-lift": "#cfd8dc",
}
# Those with dark text.
_DARK_TEXT_ON = ("picture-air", "picture-strainer", "picture-lift")
_INK, _SOFT = "#10263b", "#5b6770"
_WIDTH, _BAR, _ROW, _TOP = 620.0, 22.0, 46.0, 30.0
_LINE = 130.0  # height of the drawing of the line
_GAP = 26.0  # between two drawings of it
_SAME_HEIGHT = 1e-6  # tolerance of equal heights [m]
_MIN_LABEL_WIDTH = 26.0  # narrower pieces of a bar show no number


@dataclass(frozen=True)
class Box:
    """A filled rectangle, from its upper left corner."""

    x: float
    y: float
    width: float
    height: float
    fill: str


@dataclass(frozen=True)
class Words:
    """A text, with its baseline's start, middle or end at a point."""

    x: float
    y: float
    text: str
    size: float = 11.0
    anchor: str = "start"
    fill: str = _INK
    bold: bool = False


@dataclass(frozen=True)
class Path:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    color: str
    width: float = 2.0
    dashed: bool = False


Shape = Box | Words | Path


@dataclass(frozen=True)
class Picture:
    """A drawing of shapes, origin in the upper left corner; ``title`` says what it shows."""

    title: str
    width: float
    height: float
    shapes: tuple[Shape, ...]


def head_by_group(result: CheckResult) -> dict[str, float]:
    """Head [m] used by each group; the sum is the pump's head."""
    network = result.point.network
    found = dict.fromkeys(GROUPS, 0.0)
    for index, (part, station) in enumerate(zip(network.parts, result.point.stations, strict=True)):
        match part:
            case Hose():
                air = head_lost_to_air(result.point, index)
                found["picture-hoses"] += station.head_loss - air
                found["picture-air"] += air
            case Strainer():
                found["picture-strainer"] += station.head_loss
            case Condenser():
                found["picture-unit"] += station.head_loss
            case Discharge():
                found["picture-fittings"] += station.head_loss
                found["picture-lift"] += max(part.height, 0.0)
            case _ if part.kind != "pump":
                found["picture-fittings"] += station.head_loss
    return found


def picture(played: PlayedLesson, with_line: bool) -> Picture:
    """The bars of every column, and for lessons about air the profile of the line."""
    longest = max(column.result.pump.head for column in played.columns)
    shapes: list[Shape] = []
    for row, column in enumerate(played.columns):
        shapes += _bar(column, _TOP + row * _ROW, longest)
    bottom = _TOP + len(played.columns) * _ROW
    shapes += _key(played, bottom)
    bottom += 34.0
    if with_line:
        shapes += _line(played, bottom)
        bottom += _LINE + 20.0
    return Picture(played.title, _WIDTH, bottom, (_heading(played), *shapes))


def _heading(played: PlayedLesson) -> Words:
    unit = label("head", played.columns[0].result.job.units)
    return Words(0, 14, SAY("picture-title", unit=unit, lesson=played.title), 12, bold=True)


def _bar(column: Column, y: float, longest: float) -> Iterator[Shape]:
    system, x = column.result.job.units, 0.0
    flow, head = column.result.condensers[0].flow, column.result.pump.head
    yield Words(0, y + 10, SAY("picture-bar", system, column=column.name, flow=flow, head=head))
    for group, head_share in head_by_group(column.result).items():
        width = head_share / longest * _WIDTH
        if width > 0.5:
            yield Box(x, y + 15, width, _BAR, GROUPS[group])
            if width > _MIN_LABEL_WIDTH:
                color = _INK if group in _DARK_TEXT_ON else "#ffffff"
                middle = x + width / 2
                yield Words(middle, y + 30, bare(head_share, "head", system), 9, "middle", color)
        x += width


def _key(played: PlayedLesson, y: float) -> Iterator[Shape]:
    x = 0.0
    used = {
        group
        for column in played.columns
        for group, share in head_by_group(column.result).items()
        if share > 0
    }
    for group, fill in GROUPS.items():
        if group in used:
            yield Box(x, y + 4, 11, 11, fill)
            text = SAY(group)
            yield Words(x + 15, y + 13, text, 9, fill=_SOFT)
            x += 30 + 5.4 * len(text)


@dataclass(frozen=True)
class _Line:
    """A line's corners (distance, height), its stretches with air, its bleeds and legs."""

    corners: tuple[tuple[float, float], ...]
    air: tuple[tuple[tuple[float, float], tuple[float, float]], ...]
    bleeds: tuple[tuple[float, float], ...]
    legs: tuple[tuple[float, float, str], ...]


def _line_with_air(result: CheckResult) -> _Line:
    """The first flow path of a loop, with its air at start."""
    path, point = result.air[0], result.point
    along = states_along_path(point, path.profile)
    stretches = (
        ((before.distance, before.height), (here.distance, here.height))
        for before, here in pairwise(along)
        if here.content != "water" and here.distance > before.distance
    )
    tops = (
        (
            next((c for c in path.high_points if abs(c.height - leg.top) < _SAME_HEIGHT), None),
            leg.state,
        )
        for leg in point.legs
    )
    return _Line(
        tuple(dict.fromkeys((one.distance, one.height) for one in path.profile.points)),
        tuple(stretches),
        tuple((one.distance, one.height) for one in path.profile.bleeds_at),
        tuple(
            (top.distance, top.height, LEG_TEXT[state]) for top, state in tops if top is not None
        ),
    )


def _line(played: PlayedLesson, y: float) -> Iterator[Shape]:
    """Profile of the line, once for all columns with the same one, on one scale."""
    columns_of: dict[_Line, list[str]] = {}
    for column in played.columns:
        columns_of.setdefault(_line_with_air(column.result), []).append(column.name)
    corners = [corner for line in columns_of for corner in line.corners]
    low, high = min(h for _, h in corners), max(h for _, h in corners)
    length = max(d for d, _ in corners)
    width = (_WIDTH - _GAP * (len(columns_of) - 1)) / len(columns_of)
    for number, (line, names) in enumerate(columns_of.items()):
        left = number * (width + _GAP)

        def at(distance: float, height: float, left: float = left) -> tuple[float, float]:
            x = left + distance / length * width
            return x, y + 16 + (high - height) / (high - low) * (_LINE - 34)

        surface = at(0, 0)[1]
        yield Path(((left, surface), (left + width, surface)), "#7fb2d6", 1.0, dashed=True)
        yield Words(left, surface - 3, SAY("picture-waterline"), 9, "start", _SOFT)
        yield from _tube(line, at)
        caption = SAY("picture-line", columns=tuple(names))
        yield Words(left + width / 2, y + _LINE + 8, caption, 9, "middle", _SOFT)


def _tube(line: _Line, at: Callable[[float, float], tuple[float, float]]) -> Iterator[Shape]:
    """The hose, its core in the color of air where it holds any; its bleeds and legs by name."""
    yield Path(tuple(at(*corner) for corner in line.corners), _INK, 4.0)
    for start, end in line.air:
        yield Path((at(*start), at(*end)), GROUPS["picture-air"], 2.4)
    tops = {(distance, height) for distance, height, _ in line.legs}
    for bleed in line.bleeds:
        x, level = at(*bleed)
        yield Path(((x, level), (x, level + 9)), "#c8553d", 2.0)
        # Lower under a high point, where the hoses are far enough apart for the word.
        across, down = (x + 7, level + 31) if bleed in tops else (x, level + 19)
        yield Words(across, down, SAY("picture-bleed"), 9, "middle", "#c8553d")
    for distance, height, text in line.legs:
        x, level = at(distance, height)
        yield Words(x, level - 6, text, 9, "middle", _SOFT)


def to_svg(drawn: Picture) -> str:
    """The picture as SVG text."""
    body = "\n".join(_svg(shape) for shape in drawn.shapes)
    title = escape(drawn.title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{title}"'
        f' viewBox="-10 -4 {drawn.width + 20:.0f} {drawn.height + 8:.0f}"'
        f' font-family="sans-serif">\n<title>{title}</title>\n{body}\n</svg>\n'
    )


def _svg(shape: Shape) -> str:
    match shape:
        case Box():
            return (
                f'<rect x="{shape.x:.1f}" y="{shape.y:.1f}" width="{shape.width:.1f}"'
                f' height="{shape.height:.1f}" fill="{shape.fill}"/>'
            )
        case Words():
            weight = ' font-weight="bold"' * shape.bold
            return (
                f'<text x="{shape.x:.1f}" y="{shape.y:.1f}" font-size="{shape.size:g}"'
                f' text-anchor="{shape.anchor}" fill="{shape.fill}"{weight}>'
                f"{escape(shape.text)}</text>"
            )
        case Path():
            points = " ".join(f"{x:.1f},{y:.1f}" for x, y in shape.points)
            dash = ' stroke-dasharray="5 4"' * shape.dashed
            return (
                f'<polyline points="{points}" fill="none" stroke="{shape.color}"'
                f' stroke-width="{shape.width:g}"{dash}/>'
            )
