"""Parts, branches and units in the order of the file, and their names in errors."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from loop.parts import Branch, Manifold, Part

# Where a mistake is; what is wrong, and what would be right.
Problem = tuple[str, str]


class Unknown(Part):
    """Placeholder for a part that cannot be read, of the intended kind, "" for any kind.

    Nothing is reported about it, nor anything that it may be there to fix.
    """

    kind: str = ""


def may_contain(parts: Sequence[Part], kind: str) -> bool:
    """Whether a part that cannot be read may be of this kind, or contain one of it."""
    return any(isinstance(part, Unknown) and part.kind in ("", kind) for part in parts)


def part_place(index: int, part: Part) -> str:
    """Name of a part in an error: ``part 4 (hose)``."""
    return f"part {index + 1} ({part.kind})"


def branch_place(manifold: str, index: int, branch: Branch) -> str:
    """Name of a branch in an error."""
    return f"{manifold} branch {index + 1}" + (f" ({branch.name})" if branch.name else "")


def unit_place(index: int, name: Any) -> str:
    """Name of a unit in an error: ``condenser 2 (saloon)``."""
    return f"condenser {index + 1}" + (f" ({name})" if isinstance(name, str) and name else "")


def all_parts(parts: Sequence[Part]) -> Iterator[Part]:
    """Every part, including those in branches, in the order of the file."""
    for part in parts:
        yield part
        if isinstance(part, Manifold):
            for branch in part.branch:
                yield from all_parts(branch.part)


def map_parts(parts: Sequence[Part], change: Callable[[Part], Part]) -> tuple[Part, ...]:
    """The result of `change` for every part, those in branches before their manifold."""
    return tuple(
        change(
            part.with_lines(lambda line: map_parts(line, change))
            if isinstance(part, Manifold)
            else part
        )
        for part in parts
    )


def parts_with_places(parts: Sequence[Part], prefix: str = "") -> Iterator[tuple[str, Part]]:
    """Every part with its place, including those in branches, in the order of the file."""
    for index, part in enumerate(parts):
        where = prefix + part_place(index, part)
        yield where, part
        for number, branch in enumerate(part.branch if isinstance(part, Manifold) else ()):
            yield from parts_with_places(branch.part, f"{branch_place(where, number, branch)} ")
