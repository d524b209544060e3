"""Names in a job: of units, of branches, and of the units that condensers serve."""

from collections import Counter
from collections.abc import Iterator, Sequence

from loop.job.locations import Problem, all_parts, branch_place, may_hold, placed, unit_place
from loop.mistakes import most_like
from loop.parts import Condenser, Manifold, Part
from loop.wrong import wrong

# Wrong names that get a suggestion: each is compared with all right ones.
_HINTS = 10


def name_problems(parts: Sequence[Part], units: Sequence[str | None]) -> Iterator[Problem]:
    """Duplicate names, and references to names that do not exist; None is an unreadable name."""
    yield from _same_names(units)
    yield from _condensers(parts, units)
    yield from _branches(parts)


def _same_names(units: Sequence[str | None]) -> Iterator[Problem]:
    for name, count in Counter(units).items():
        if name is not None and count > 1:
            second = units.index(name, units.index(name) + 1)
            where = f"{unit_place(second, name)} name"
            yield where, wrong("same-unit", count=count)


def _condensers(parts: Sequence[Part], units: Sequence[str | None]) -> Iterator[Problem]:
    names = dict.fromkeys(name for name in units if name is not None)
    served: dict[str, list[str]] = {}
    for where, part in placed(parts):
        if isinstance(part, Condenser):
            served.setdefault(part.serves, []).append(where)
    unread = bool(served.pop("", ())) or any(
        may_hold([part], kind) for part in all_parts(parts) for kind in ("condenser", "manifold")
    )
    hints = 0
    for name, places in served.items():
        if name not in names and None not in units:
            hints += 1
            near = most_like(name, names if hints <= _HINTS else (), 0.0)
            hint = wrong("unit-near", near=near) if near else ""
            for where in places:
                yield f"{where} serves", wrong("no-unit-of-name", name=name, hint=hint)
        elif len(places) > 1:
            problem = wrong("unit-twice", count=len(places), name=name, first=places[0])
            yield f"{places[1]} serves", problem
    for unit in names if not unread else ():
        if unit not in served:
            yield unit_place(units.index(unit), unit), wrong("unit-not-served", unit=unit)


def _branches(parts: Sequence[Part]) -> Iterator[Problem]:
    seen: dict[str, list[str]] = {}
    for where, part in placed(parts):
        for number, way in enumerate(part.branch if isinstance(part, Manifold) else ()):
            seen.setdefault(way.name, []).append(branch_place(where, number, way))
    for name, places in seen.items():
        if name and len(places) > 1:
            yield f"{places[1]} name", wrong("same-branch", count=len(places))
