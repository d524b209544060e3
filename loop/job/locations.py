"""Parts, branches and units: all of them in the file's order, and how an error calls each."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from loop.parts import Branch, Manifold, Part

# Where a mistake is, and what is wrong and would be right.
Problem = tuple[str, str]


class Unknown(Part):
    """Stands in for a part that cannot be read, of the kind that was meant, "" for any kind.

    Nothing is said of it, nor of what it may be the remedy of.
    """

    kind: str = ""


def may_hold(parts: Sequence[Part], kind: str) -> bool:
    """Whether a part that cannot be read may be of this kind, or hold one of it."""
    return any(isinstance(part, Unknown) and part.kind in ("", kind) for part in parts)


def place(index: int, part: Part) -> str:
    """How a part is called in an error: ``part 4 (hose)``."""
    return f"part {index + 1} ({part.kind})"


def branch_place(manifold: str, index: int, branch: Branch) -> str:
    """How a branch is called in an error."""
    return f"{manifold} branch {index + 1}" + (f" ({branch.name})" if branch.name else "")


def unit_place(index: int, name: Any) -> str:
    """How a unit that is to be cooled is called in an error: ``condenser 2 (saloon)``."""
    return f"condenser {index + 1}" + (f" ({name})" if isinstance(name, str) and name else "")


def all_parts(parts: Sequence[Part]) -> Iterator[Part]:
    """Every part, those inside branches too, in the order of the file."""
    for part in parts:
        yield part
        if isinstance(part, Manifold):
            for branch in part.branch:
                yield from all_parts(branch.part)


def mapped(parts: Sequence[Part], change: Callable[[Part], Part]) -> tuple[Part, ...]:
    """What `change` makes of every part, those inside branches before their manifold."""
    return tuple(
        change(
            part.with_lines(lambda line: mapped(line, change))
            if isinstance(part, Manifold)
            else part
        )
        for part in parts
    )


def placed(parts: Sequence[Part], prefix: str = "") -> Iterator[tuple[str, Part]]:
    """Every part with its place, those inside branches too, in the order of the file."""
    for index, part in enumerate(parts):
        where = prefix + place(index, part)
        yield where, part
        for number, way in enumerate(part.branch if isinstance(part, Manifold) else ()):
            yield from placed(way.part, f"{branch_place(where, number, way)} ")
