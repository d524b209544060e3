"""The editor of a job: changes by address, checked like a job file."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

from pydantic import BaseModel

from loop.job.address import Path, of_value, read_address
from loop.job.model import Job
from loop.job.read import checked
from loop.mistakes import JobError
from loop.parts import Part
from loop.records import dataclass
from loop.wrong import wrong


@dataclass(frozen=True)
class Put:
    """Set the value at an address; None removes the key, so that its default holds.

    Values are SI numbers, text with units, or whatever the field accepts.
    """

    address: str
    value: Any


@dataclass(frozen=True)
class Insert:
    """Insert a part at `address`; the part there and those after it move up by one.

    Branches and units are inserted in the same way, at ``part[9].branch[2]`` or ``condenser[2]``.
    """

    address: str
    part: Mapping[str, Any]


@dataclass(frozen=True)
class Remove:
    """Remove the part at an address."""

    address: str


Edit: TypeAlias = Put | Insert | Remove
# An edit and the path of its address.
Step: TypeAlias = tuple[Path, Edit]


def edit(job: Job, edits: Iterable[Edit], folder: str = ".") -> Job:
    """The job with these changes, checked like a file.

    Addresses refer to `job` as it is before all edits. A value that is set is removed from the
    ``guessed`` of its table. Relative paths of pump files start in `folder`.

    Raises JobError, whose message lists every mistake, if an address is unknown or the changed job
    is not valid.

    >>> from loop.job import read_job
    >>> job = read_job("examples/kittiwake.toml")
    >>> round(edit(job, [Put("suction hose.length", "12 ft")]).part[2].length, 4)
    3.6576
    """
    steps = in_order(job, edits)
    draft = _opened(job)
    for path, step in steps:
        if path[0] == "defaults" and isinstance(step, Put):
            _forget_default(draft, job, path)
        _apply(draft, path, step)
    return checked(draft, {"folder": folder}, "change")


def replace(job: Job, changes: Mapping[str, Any]) -> Job:
    """The job with the values at these addresses changed: `edit` with one `Put` per change."""
    by_address(changes)
    once_each(job, changes)
    return edit(job, [Put(address, value) for address, value in changes.items()])


def by_address(changes: object) -> None:
    """Raise JobError unless the changes are a mapping by address."""
    if not isinstance(changes, Mapping):
        raise JobError([wrong("changes-not-table", given=repr(changes)[:60])])


def once_each(job: Job, addresses: Iterable[str]) -> None:
    """Raise JobError for addresses of the same value, or of a value and something inside it."""
    seen: dict[Path, str] = {}
    problems = []
    for address in addresses:
        try:
            path = of_value(job, read_address(job, address))
        except JobError as error:
            problems += error.problems
            continue
        for other, first in seen.items():
            if path[: len(other)] == other[: len(path)]:
                problems.append(wrong("address-twice", address=first, other=address))
        seen.setdefault(path, address)
    if problems:
        raise JobError(problems)


def in_order(job: Job, edits: Iterable[Edit]) -> list[Step]:
    """The edits with their paths: values first, then insertions and removals, last to first.

    In this order each path is still valid when its edit is applied.
    """
    steps: list[Step] = []
    problems: list[str] = []
    for step in edits:
        try:
            path = read_address(job, step.address)
            steps.append((of_value(job, path) if isinstance(step, Put) else path, step))
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(problems)
    values = [item for item in steps if isinstance(item[1], Put)]
    # Of edits at one position, removals come first; insertions there are applied last to first, so
    # that the first given ends up first.
    moves = [item for item in steps[::-1] if not isinstance(item[1], Put)]
    return values + sorted(moves, key=_place, reverse=True)


def _place(item: Step) -> tuple[tuple[tuple[int, str], ...], bool]:
    """Sort key of a position: by position in each list, then by name; deeper ones later."""
    path, step = item
    keys = tuple((s, "") if isinstance(s, int) else (-1, s) for s in path)
    return keys, isinstance(step, Remove)


def _opened(model: BaseModel) -> dict[str, Any]:
    """The explicitly given values of a model as a mutable table; parts keep their kind."""
    table = {name: getattr(model, name) for name in model.model_fields_set}
    return {"kind": model.kind, **table} if isinstance(model, Part) else table


def _apply(draft: dict[str, Any], path: Path, step: Edit) -> None:
    table, last = _container(draft, path, step), path[-1]
    fits = isinstance(table, list if isinstance(last, int) else dict)
    if not fits:
        raise JobError([wrong("no-address", address=step.address, hint="")])
    if isinstance(step, Insert):
        position = _position(table, last, step, ends=True)
        table.insert(position, dict(step.part))
    elif isinstance(step, Remove):
        del table[_position(table, last, step)]
    elif isinstance(last, int):
        table[_position(table, last, step)] = step.value
    else:
        if step.value is None:
            table.pop(last, None)
        else:
            table[last] = step.value
        _no_guess(table, str(last))


def _no_guess(table: dict[str, Any], key: str) -> None:
    """Remove a key from those that its table marks as guesses."""
    left = tuple(name for name in table.get("guessed", ()) if name != key)
    if left:
        table["guessed"] = left
    else:
        table.pop("guessed", None)


def _position(table: Any, at: str | int, step: Edit, ends: bool = False) -> int:
    """A position in a list; raises JobError if the list is too short."""
    if isinstance(at, int) and isinstance(table, list) and at < len(table) + ends:
        return at
    raise JobError([wrong("no-part-there", address=step.address)])


def _container(draft: Any, path: Path, step: Edit) -> Any:
    """The table or list that holds the last step of a path, made mutable along the way."""
    at = draft
    for key in path[:-1]:
        if isinstance(key, int):
            at = _open_at(at, _position(at, key, step))
        elif isinstance(at, dict):
            if key not in at:
                at[key] = {}
            at = _open_at(at, key)
        else:
            raise JobError([wrong("no-address", address=step.address, hint="")])
    return at


def _open_at(holder: Any, key: str | int) -> Any:
    """The value at a key, made mutable in place: models as tables, tuples as lists."""
    value = holder[key]
    if isinstance(value, BaseModel):
        value = _opened(value)
    elif isinstance(value, tuple):
        value = list(value)
    holder[key] = value
    return value


def _forget_default(draft: dict[str, Any], job: Job, path: Path) -> None:
    """Remove a default's old value from parts, so that they take the new one."""
    name = str(path[-1])
    old = getattr(job.defaults, name, None)
    if old is not None:
        draft["part"] = _without(draft["part"], name, old)


def _without(parts: Sequence[Any], name: str, old: Any) -> list[Any]:
    changed = []
    for part in parts:
        table = dict(part) if isinstance(part, dict) else _opened(part)
        if table.get(name) == old:
            del table[name]
        if "branch" in table:
            branches = [dict(b) if isinstance(b, dict) else _opened(b) for b in table["branch"]]
            table["branch"] = [{**b, "part": _without(b["part"], name, old)} for b in branches]
        changed.append(table)
    return changed
