"""Rules between parts that make a loop complete, and between names."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from loop.job.locations import (
    Problem,
    Unknown,
    all_parts,
    branch_place,
    may_contain,
    part_place,
    parts_with_places,
    unit_place,
)
from loop.mistakes import most_like
from loop.parts import Condenser, Discharge, Hose, Intake, Manifold, Part, Pump
from loop.wrong import wrong

# Half an inch: height differences below a tape measure's accuracy.
SAME_HEIGHT = 0.0127
_MAX_DEPTH = 6
# Wrong names that get a suggestion: each is compared with all right ones.
_MAX_HINTS = 10


def layout_problems(parts: Sequence[Part], units: Sequence[str | None]) -> list[Problem]:
    """Every reason why these parts do not form a loop, as (where, what is wrong and right).

    `units` are the names of the units to be cooled, None for one that cannot be read. For parts
    that cannot be read, heights may be NaN, lengths infinite and names empty: no comparison with
    them is true, so nothing is reported about them.
    """
    return [
        *_end_problems(parts),
        *_pump_problems(parts),
        *_line_problems(parts, "", 0.0, 0),
        *name_problems(parts, units),
    ]


def _end_problems(parts: Sequence[Part]) -> Iterator[Problem]:
    intakes = [i for i, part in enumerate(parts) if isinstance(part, Intake)]
    if not intakes and not may_contain(parts[:1], "intake"):
        yield "parts", wrong("no-intake")
    for index in intakes:
        if index != 0:
            yield part_place(index, parts[index]), wrong("intake-first")
    last = parts[-1]
    if isinstance(last, Manifold):
        if _rejoins(last):
            yield part_place(len(parts) - 1, last), wrong("goes-on")
    elif not isinstance(last, Discharge | Unknown):
        yield part_place(len(parts) - 1, last), wrong("last-discharge")


def _pump_problems(parts: Sequence[Part]) -> Iterator[Problem]:
    pumps = [i for i, part in enumerate(parts) if isinstance(part, Pump)]
    if not pumps and not may_contain(parts, "pump"):
        yield "parts", wrong("no-pump")
    for index in pumps[1:]:
        yield part_place(index, parts[index]), wrong("second-pump", first=pumps[0] + 1)
    first_manifold = next((i for i, p in enumerate(parts) if isinstance(p, Manifold)), None)
    if pumps and first_manifold is not None and first_manifold < pumps[0]:
        yield part_place(pumps[0], parts[pumps[0]]), wrong("pump-before")


def _line_problems(
    parts: Sequence[Part], prefix: str, start: float, depth: int
) -> Iterator[Problem]:
    """Problems along one line, from the height [m] at which it starts."""
    height = start
    for index, part in enumerate(parts):
        where = prefix + part_place(index, part)
        if part.bore is None and not isinstance(part, Pump | Manifold | Unknown):
            yield where, wrong("no-bore")
        if isinstance(part, Intake):
            height = part.height
        elif isinstance(part, Hose):
            yield from _reach_problems(where, part, height)
            height = part.to
        elif isinstance(part, Discharge):
            if index != len(parts) - 1:
                yield where, wrong("after-discharge")
            if abs(part.height - height) > SAME_HEIGHT:
                ends = {"height": _height_text(part.height), "end": _height_text(height)}
                yield f"{where} height", wrong("discharge-height", **ends)
        elif isinstance(part, Unknown):
            height = math.nan
        elif isinstance(part, Manifold):
            yield from _manifold_problems(parts, index, where, height, depth)
            joined = _joined_height(part, height)
            height = height if joined is None else joined
        if prefix and isinstance(part, Intake | Pump):
            yield where, wrong("branch-intake" if part.kind == "intake" else "branch-pump")


def _reach_problems(where: str, hose: Hose, start: float) -> Iterator[Problem]:
    along, height = 0.0, start
    spread = any(point.at is None for point in hose.via)
    row = "hose-reach-spread" if spread else "hose-reach"
    for number, (end, to) in enumerate(hose.points):
        length = end - along
        if abs(to - height) > length * 1.001 + 1e-6:
            lengths = {"length": length, "start": height, "end": to}
            values = {name: _height_text(value) for name, value in lengths.items()}
            if spread:
                count = len(hose.via)
                point, at = (number + 1, end) if number < count else (count, along)
                values |= {"point": str(point), "count": str(count), "at": _height_text(at)}
            yield f"{where} length", wrong(row, **values)
        along, height = end, to


def _manifold_problems(
    parts: Sequence[Part], index: int, where: str, height: float, depth: int
) -> Iterator[Problem]:
    manifold = parts[index]
    assert isinstance(manifold, Manifold)
    if depth >= _MAX_DEPTH:
        yield where, wrong("nested", most=_MAX_DEPTH)
        return
    if index == 0 or isinstance(parts[index - 1], Manifold):
        yield where, wrong("manifold-before")
    rejoins, overboard = _rejoins(manifold), all(branch.overboard for branch in manifold.branch)
    if overboard and index != len(parts) - 1:
        yield where, wrong("all-overboard")
    if depth > 0 and rejoins and index == len(parts) - 1:
        yield where, wrong("manifold-after")
    if depth > 0 and overboard:
        yield where, wrong("inner-overboard")
    joined = _joined_height(manifold, height)
    for number, branch in enumerate(manifold.branch):
        name = branch_place(where, number, branch)
        yield from _line_problems(branch.part, f"{name} ", height, depth + 1)
        end = end_height(branch.part, height)
        if not branch.overboard and joined is not None and abs(end - joined) > SAME_HEIGHT:
            yield name, wrong("branch-ends", end=_height_text(end), joined=_height_text(joined))


def _rejoins(manifold: Manifold) -> bool:
    """Whether some branch is known to rejoin."""
    return any(not isinstance(branch.part[-1], Discharge | Unknown) for branch in manifold.branch)


def end_height(parts: Sequence[Part], start: float) -> float:
    """Height [m] at the end of a line that starts at `start`."""
    height = start
    for part in parts:
        if isinstance(part, Intake):
            height = part.height
        elif isinstance(part, Hose):
            height = part.to
        elif isinstance(part, Unknown):
            height = math.nan
        elif isinstance(part, Manifold):
            joined = _joined_height(part, height)
            height = height if joined is None else joined
    return height


def _joined_height(manifold: Manifold, start: float) -> float | None:
    """Height at which branches rejoin: None if none does, NaN if it cannot be read."""
    ends = [end_height(branch.part, start) for branch in manifold.branch if not branch.overboard]
    return next((end for end in ends if math.isfinite(end)), math.nan) if ends else None


def _height_text(meters: float) -> str:
    return wrong("height", inches=meters / 0.0254, metres=meters)


def name_problems(parts: Sequence[Part], units: Sequence[str | None]) -> Iterator[Problem]:
    """Duplicate names, and references to names that do not exist; None is an unreadable name."""
    yield from _duplicate_units(units)
    yield from _condensers(parts, units)
    yield from _duplicate_branches(parts)


def _duplicate_units(units: Sequence[str | None]) -> Iterator[Problem]:
    for name, count in Counter(units).items():
        if name is not None and count > 1:
            second = units.index(name, units.index(name) + 1)
            where = f"{unit_place(second, name)} name"
            yield where, wrong("same-unit", count=count)


def _condensers(parts: Sequence[Part], units: Sequence[str | None]) -> Iterator[Problem]:
    names = dict.fromkeys(name for name in units if name is not None)
    served: dict[str, list[str]] = {}
    for where, part in parts_with_places(parts):
        if isinstance(part, Condenser):
            served.setdefault(part.serves, []).append(where)
    incomplete = bool(served.pop("", ())) or any(
        may_contain([part], kind) for part in all_parts(parts) for kind in ("condenser", "manifold")
    )
    hints = 0
    for name, places in served.items():
        if name not in names and None not in units:
            hints += 1
            near = most_like(name, names if hints <= _MAX_HINTS else (), 0.0)
            hint = wrong("unit-near", near=near) if near else ""
            for where in places:
                yield f"{where} serves", wrong("no-unit-of-name", name=name, hint=hint)
        elif len(places) > 1:
            problem = wrong("unit-twice", count=len(places), name=name, first=places[0])
            yield f"{places[1]} serves", problem
    for unit in names if not incomplete else ():
        if unit not in served:
            yield unit_place(units.index(unit), unit), wrong("unit-not-served", unit=unit)


def _duplicate_branches(parts: Sequence[Part]) -> Iterator[Problem]:
    seen: dict[str, list[str]] = {}
    for where, part in parts_with_places(parts):
        for number, branch in enumerate(part.branch if isinstance(part, Manifold) else ()):
            seen.setdefault(branch.name, []).append(branch_place(where, number, branch))
    for name, places in seen.items():
        if name and len(places) > 1:
            yield f"{places[1]} name", wrong("same-branch", count=len(places))
