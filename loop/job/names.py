"""Names in a job: of units, of branches, and of the units that condensers serve."""

from collections import Counter
from collections.abc import Iterator, Sequence

from loop.job.locations import (
    Problem,
    all_parts,
    branch_place,
    may_contain,
    parts_with_places,
    unit_place,
)
from loop.mistakes import most_like
from loop.parts import Condenser, Manifold, Part
from loop.wrong import wrong

# Wrong names that get a suggestion: each is compared with all right ones.
_MAX_HINTS = 10


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
