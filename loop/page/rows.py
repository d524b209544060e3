"""Rows of the bench: a job's parts and branches as in its file, and the commands each allows."""

from collections.abc import Iterator, Mapping
from typing import Any

from loop.job import Job, locate
from loop.job.address import Path, address_text
from loop.parts import Manifold
from loop.records import dataclass


@dataclass(frozen=True)
class Row:
    """A part, a branch, or "end": the position after the last part of a branch that rejoins."""

    path: Path
    kind: str
    label: str
    branch: str

    @property
    def address(self) -> str:
        """The row's address."""
        return address_text(self.path)


def in_order(job: Job) -> list[Row]:
    """Every row in flow order."""
    labels = {item.path: item.label for item in locate(job.part)}

    def walk(parts: tuple[Any, ...], before: Path, branch: str) -> Iterator[Row]:
        for number, part in enumerate(parts):
            here = (*before, number)
            yield Row(here, part.kind, labels[here], branch)
            for which, way in enumerate(part.branch) if isinstance(part, Manifold) else ():
                inside: Path = (*here, "branch", which)
                yield Row(inside, "branch", way.name, branch)
                yield from walk(way.part, (*inside, "part"), way.name)
                if not way.overboard:
                    yield Row((*inside, "part", len(way.part)), "end", way.name, way.name)

    return list(walk(job.part, ("part",), ""))


def neighbors(job: Job, path: Path) -> tuple[Path | None, Path | None]:
    """Where a part or branch goes if moved one row up, or down; None if it cannot move.

    A part moves past its neighbor, into a branch or out of it; a branch moves past another.
    """
    if path[-2] == "branch":
        number, many = int(path[-1]), len(value(job, path[:-1]))
        up, down = number - 1, number + 2
        return (
            (*path[:-1], up) if up >= 0 else None,
            (*path[:-1], down) if down <= many else None,
        )
    # Not into itself; and the position before its next neighbor is where it already is.
    places = [
        row.path
        for row in in_order(job)
        if row.kind != "branch" and (row.path == path or row.path[: len(path)] != path)
    ]
    at = places.index(path)
    return (
        places[at - 1] if at > 1 else None,
        places[at + 2] if at > 0 and at + 2 < len(places) else None,
    )


def as_tables(job: Job, file: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Every row for the page: its keys as in the file, and its commands."""
    made = []
    for row in in_order(job):
        table = {} if row.kind == "end" else value(file, row.path)
        made.append(
            {
                "address": row.address,
                "kind": row.kind,
                "label": row.label,
                "branch": row.branch,
                "depth": row.path.count("branch"),
                "given": own(table),
                "can": list(_can(job, row)),
            }
        )
    return made


def own(table: Mapping[str, Any]) -> dict[str, Any]:
    """A table's own keys, without the tables below it."""
    return {key: item for key, item in table.items() if key not in ("branch", "part", "kind")}


def value(holder: Any, path: Path) -> Any:
    """The value at a path in a job, or in its file's tables."""
    for step in path:
        if isinstance(step, str) and not isinstance(holder, Mapping):
            holder = getattr(holder, step)
        else:
            holder = holder[step]
    return holder


def _can(job: Job, row: Row) -> Iterator[str]:
    if row.kind in ("intake", "discharge", "end"):
        return
    up, down = neighbors(job, row.path)
    yield from ("up",) * (up is not None)
    yield from ("down",) * (down is not None)
    if row.kind == "manifold":
        yield "branch"
        yield from ("join",) * (len(value(job, row.path).branch) == 1)
    elif row.kind == "branch":
        yield "copy"
        yield from ("take out",) * (len(value(job, row.path[:-1])) > 1)
    elif row.kind == "condenser":
        yield from ("copy", "split")
        yield from ("take out",) * (len(job.condenser) > 1)
    elif row.kind != "pump":
        yield from ("copy", "take out")
