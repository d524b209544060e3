"""Commands on a row of the bench, as edits for the one job editor.

A table that moves or is copied comes from the file, so its text, units and comments go along.
"""

import copy
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeAlias

from loop.job import Edit, Insert, Job, JobError, Put, Remove, parse_toml
from loop.job.address import Path, address_text, read_address
from loop.job.field_text import quantity_text
from loop.page.folder import THIS_FILE
from loop.page.forms import starter
from loop.page.rows import in_order, neighbors, value
from loop.parts import Hose, Intake, Manifold
from loop.tomlfile import unmarked
from loop.words.page import SAY

_LONGEST_NAME = 60


class Bench:
    """A job with its file's tables; makes unused names, and the units to go with them."""

    def __init__(self, text: str, folder: str) -> None:
        import tomlkit

        self.job: Job = parse_toml(text, THIS_FILE, folder)
        self.file: Any = tomlkit.parse(unmarked(text)[0])
        self._taken = {row.label for row in in_order(self.job)}
        self._taken |= {unit.name for unit in self.job.condenser}

    def fresh(self, name: str) -> str:
        """The name with the next free number."""
        stem = re.sub(r" \d+$", "", name)[: _LONGEST_NAME - 6]
        number = 2
        while f"{stem} {number}" in self._taken:
            number += 1
        self._taken.add(f"{stem} {number}")
        return f"{stem} {number}"

    def unit_like(self, name: str) -> tuple[str, Insert]:
        """A copy of the named unit under a new name: the name, and the edit that inserts it."""
        units = self.job.condenser
        like = next((i for i, unit in enumerate(units) if unit.name == name), 0)
        made = {**self.file["condenser"][like].unwrap(), "name": self.fresh(units[like].name)}
        return made["name"], Insert(f"condenser[{len(units) + 1}]", made)

    def height(self, path: Path) -> str:
        """The height of the line where a part inserted at this path would begin, as text."""
        last: float = 0.0
        for row in in_order(self.job):
            if row.path == path:
                break
            if row.branch and row.branch not in _branches(self.job, path):
                continue
            part = value(self.job, row.path) if row.kind in ("hose", "intake") else None
            last = part.to if isinstance(part, Hose) else last
            last = part.height if isinstance(part, Intake) else last
        return quantity_text(last, "length", self.job.units)


Wish: TypeAlias = Callable[[Bench, Path, Mapping[str, Any]], list[Edit]]


def wished(text: str, wish: Any, folder: str) -> tuple[list[Edit], str]:
    """The edits for a command on a row of a job's text, and the row's new address.

    A command has "do", one of `WISHES`, and the "address" of a row. Raises JobError if it means
    nothing for this job.
    """
    does = WISHES.get(str(wish.get("do"))) if isinstance(wish, Mapping) else None
    address = wish.get("address") if does else None
    if does is None or not isinstance(address, str) or len(address) > 200:
        raise JobError([f"a row can {', '.join(WISHES)}, at an address"])
    bench = Bench(text, folder)
    path = read_address(bench.job, address)
    try:
        edits = does(bench, path, wish)
    except (KeyError, IndexError, TypeError, ValueError, AttributeError):
        raise JobError([SAY("row-cannot", address=repr(address))]) from None
    return edits, address_text(_landed(bench, path, edits))


def _landed(bench: Bench, path: Path, edits: list[Edit]) -> Path:
    """Where the first inserted part or branch is once the edits are done."""
    put_in = next((edit.address for edit in edits if isinstance(edit, Insert)), None)
    if put_in is None:
        return path
    to, deep = list(read_address(bench.job, put_in)), len(path) - 1
    gone = any(isinstance(edit, Remove) and edit.address == address_text(path) for edit in edits)
    if gone and tuple(to[:deep]) == path[:-1] and int(to[deep]) > int(path[-1]):
        to[deep] = int(to[deep]) - 1
    return tuple(to)


def _moved(bench: Bench, path: Path, to: Path | None) -> list[Edit]:
    if to is None or to[: len(path)] == path or to[-2] != path[-2]:
        raise ValueError("no place for it")
    table, left = copy.deepcopy(value(bench.file, path)), []
    if isinstance(value(bench.job, path), Hose):
        there = [one for one in _hoses(bench.job, to[:-1]) if one != path]
        if there and to > there[-1] and (to[:-1] != path[:-1] or path < there[-1]):
            table["to"] = value(bench.file, there[-1])["to"]
        else:
            left = _end_kept(bench, path, to)
    return [Remove(address_text(path)), Insert(address_text(to), table), *left]


def _end_kept(bench: Bench, path: Path, to: Path | None = None) -> list[Edit]:
    """Keeps the end of a line that loses its last hose: the hose before it now leads there."""
    hoses = _hoses(bench.job, path[:-1])
    if hoses[-1:] != [path] or len(hoses) == 1:
        return []
    stays_last = to is not None and to[:-1] == path[:-1] and to > hoses[-2]
    end = f"{address_text(hoses[-2])}.to"
    return [] if stays_last else [Put(end, value(bench.file, path)["to"])]


def _hoses(job: Job, line: Path) -> list[Path]:
    """Paths of a line's hoses, from its last manifold on."""
    found: list[Path] = []
    for number, part in enumerate(value(job, line)):
        if isinstance(part, Manifold):
            found = []
        elif isinstance(part, Hose):
            found.append((*line, number))
    return found


def _copied(bench: Bench, path: Path, wish: Mapping[str, Any]) -> list[Edit]:
    twin = copy.deepcopy(value(bench.file, path))
    named = list(_named_anew(bench, twin))
    return [Insert(address_text((*path[:-1], int(path[-1]) + 1)), twin), *named]


def _named_anew(bench: Bench, table: Any) -> Iterator[Edit]:
    """Gives a copy, and everything in it, new names, and condensers new units."""
    for key in ("label", "name"):
        if key in table:
            table[key] = bench.fresh(str(table[key]))
    if table.get("kind") == "condenser":
        table["serves"], unit = bench.unit_like(str(table["serves"]))
        yield unit
    for inner in (*table.get("branch", ()), *table.get("part", ())):
        yield from _named_anew(bench, inner)


def _taken_out(bench: Bench, path: Path, wish: Mapping[str, Any]) -> list[Edit]:
    """Removes a row, along with units that only its condensers serve."""
    served = [
        (row.path, value(bench.job, row.path).serves)
        for row in in_order(bench.job)
        if row.kind == "condenser"
    ]
    gone = {name for at, name in served if at[: len(path)] == path}
    left = {name for at, name in served if at[: len(path)] != path}
    units = [i for i, unit in enumerate(bench.job.condenser) if unit.name in gone - left]
    out = [Remove(address_text(path)), *(Remove(f"condenser[{i + 1}]") for i in units)]
    hose = isinstance(value(bench.job, path), Hose)
    return [*out, *(_end_kept(bench, path) if hose else ())]


def _added(bench: Bench, path: Path, wish: Mapping[str, Any]) -> list[Edit]:
    """Inserts a new part of a kind before the row at the address."""
    kind = str(wish["kind"])
    part: dict[str, Any] = {"kind": kind, **starter(kind, bench.job.units)}
    units = []
    if kind == "hose":
        part["to"] = bench.height(path)
    elif kind == "discharge":
        part["height"] = bench.height(path)
    elif kind == "condenser":
        part["serves"], unit = bench.unit_like("")
        units = [unit]
    return [Insert(address_text(path), part), *units]


def _split(bench: Bench, path: Path, wish: Mapping[str, Any]) -> list[Edit]:
    """Splits the line at a condenser: it becomes the first branch, a copy of it the second."""
    first = value(bench.file, path).unwrap()
    second = {**first}
    units = list(_named_anew(bench, second))
    ways = [{"name": part["serves"], "part": [part]} for part in (first, second)]
    manifold = {"kind": "manifold", "branch": ways}
    return [Remove(address_text(path)), Insert(address_text(path), manifold), *units]


def _branched(bench: Bench, path: Path, wish: Mapping[str, Any]) -> list[Edit]:
    """Adds a branch to a manifold, like its last one."""
    return _copied(bench, (*path, "branch", len(value(bench.job, path).branch) - 1), wish)


def _joined(bench: Bench, path: Path, wish: Mapping[str, Any]) -> list[Edit]:
    """Puts the parts of a manifold's only branch back into the line."""
    (only,) = value(bench.file, path)["branch"]
    parts = [Insert(address_text(path), part) for part in only["part"]]
    return [Remove(address_text(path)), *parts]


def _renamed(bench: Bench, path: Path, wish: Mapping[str, Any]) -> list[Edit]:
    """Renames a unit, also in the condensers that serve it."""
    old, new = value(bench.job, path).name, str(wish["value"])
    serving = [
        Put(f"{row.address}.serves", new)
        for row in in_order(bench.job)
        if row.kind == "condenser" and value(bench.job, row.path).serves == old
    ]
    return [Put(f"{address_text(path)}.name", new), *serving]


def _branches(job: Job, path: Path) -> set[str]:
    """Names of the branches that contain a path."""
    return {value(job, path[:i]).name for i in range(4, len(path), 4)}


WISHES: dict[str, Wish] = {
    "up": lambda bench, path, wish: _moved(bench, path, neighbors(bench.job, path)[0]),
    "down": lambda bench, path, wish: _moved(bench, path, neighbors(bench.job, path)[1]),
    "move": lambda bench, path, wish: _moved(bench, path, read_address(bench.job, str(wish["to"]))),
    "copy": _copied,
    "take out": _taken_out,
    "add": _added,
    "split": _split,
    "branch": _branched,
    "join": _joined,
    "rename": _renamed,
}
