"""The editor of a job: changes by address, checked like a job file."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

from pydantic import BaseModel

from loop.job.address import Path, read_address, value_path
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
    steps = ordered_steps(job, edits)
    draft = _as_table(job)
    for path, step in steps:
        if path[0] == "defaults" and isinstance(step, Put):
            _drop_default(draft, job, path)
        _apply(draft, path, step)
    return checked(draft, {"folder": folder}, "change")


def replace(job: Job, changes: Mapping[str, Any]) -> Job:
    """The job with the values at these addresses changed: `edit` with one `Put` per change."""
    require_table(changes)
    require_distinct(job, changes)
    return edit(job, [Put(address, value) for address, value in changes.items()])


def require_table(changes: object) -> None:
    """Raise JobError unless the changes are a mapping by address."""
    if not isinstance(changes, Mapping):
        raise JobError([wrong("changes-not-table", given=repr(changes)[:60])])


def require_distinct(job: Job, addresses: Iterable[str]) -> None:
    """Raise JobError for addresses of the same value, or of a value and something inside it."""
    seen: dict[Path, str] = {}
    problems = []
    for address in addresses:
        try:
            path = value_path(job, read_address(job, address))
        except JobError as error:
            problems += error.problems
            continue
        for other, first in seen.items():
            if path[: len(other)] == other[: len(path)]:
                problems.append(wrong("address-twice", address=first, other=address))
        seen.setdefault(path, address)
    if problems:
        raise JobError(problems)


def ordered_steps(job: Job, edits: Iterable[Edit]) -> list[Step]:
    """The edits with their paths: values first, then insertions and removals, last to first.

    In this order each path is still valid when its edit is applied.
    """
    steps: list[Step] = []
    problems: list[str] = []
    for step in edits:
        try:
            path = read_address(job, step.address)
            steps.append((value_path(job, path) if isinstance(step, Put) else path, step))
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(problems)
    values = [item for item in steps if isinstance(item[1], Put)]
    # Of edits at one position, removals come first; insertions there are applied last to first, so
    # that the first given ends up first.
    structural = [item for item in steps[::-1] if not isinstance(item[1], Put)]
    return values + sorted(structural, key=_sort_key, reverse=True)


def _sort_key(item: Step) -> tuple[tuple[tuple[int, str], ...], bool]:
    """Sort key of a position: by position in each list, then by name; deeper ones later."""
    path, step = item
    keys = tuple((s, "") if isinstance(s, int) else (-1, s) for s in path)
    return keys, isinstance(step, Remove)


def _as_table(model: BaseModel) -> dict[str, Any]:
    """The explicitly given values of a model as a mutable table; parts keep their kind."""
    table = {name: getattr(model, name) for name in model.model_fields_set}
    return {"kind": model.kind, **table} if isinstance(model, Part) else table


def _apply(draft: dict[str, Any], path: Path, step: Edit) -> None:
    table, last = _container(draft, path, step), path[-1]
    matches = isinstance(table, list if isinstance(last, int) else dict)
    if not matches:
        raise JobError([wrong("no-address", address=step.address, hint="")])
    if isinstance(step, Insert):
        position = _position(table, last, step, at_end=True)
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
        _unmark_guess(table, str(last))


def _unmark_guess(table: dict[str, Any], key: str) -> None:
    """Remove a key from those that its table marks as guesses."""
    remaining = tuple(name for name in table.get("guessed", ()) if name != key)
    if remaining:
        table["guessed"] = remaining
    else:
        table.pop("guessed", None)


def _position(table: Any, position: str | int, step: Edit, at_end: bool = False) -> int:
    """A position in a list; raises JobError if the list is too short."""
    if isinstance(position, int) and isinstance(table, list) and position < len(table) + at_end:
        return position
    raise JobError([wrong("no-part-there", address=step.address)])


def _container(draft: Any, path: Path, step: Edit) -> Any:
    """The table or list that holds the last step of a path, made mutable along the way."""
    container = draft
    for key in path[:-1]:
        if isinstance(key, int):
            container = _mutable_at(container, _position(container, key, step))
        elif isinstance(container, dict):
            if key not in container:
                container[key] = {}
            container = _mutable_at(container, key)
        else:
            raise JobError([wrong("no-address", address=step.address, hint="")])
    return container


def _mutable_at(container: Any, key: str | int) -> Any:
    """The value at a key, made mutable in place: models as tables, tuples as lists."""
    value = container[key]
    if isinstance(value, BaseModel):
        value = _as_table(value)
    elif isinstance(value, tuple):
        value = list(value)
    container[key] = value
    return value


def _drop_default(draft: dict[str, Any], job: Job, path: Path) -> None:
    """Remove a default's old value from parts, so that they take the new one."""
    name = str(path[-1])
    old = getattr(job.defaults, name, None)
    if old is not None:
        draft["part"] = _without_value(draft["part"], name, old)


def _without_value(parts: Sequence[Any], name: str, old: Any) -> list[Any]:
    changed = []
    for part in parts:
        table = dict(part) if isinstance(part, dict) else _as_table(part)
        if table.get(name) == old:
            del table[name]
        if "branch" in table:
            branches = [dict(b) if isinstance(b, dict) else _as_table(b) for b in table["branch"]]
            table["branch"] = [b | {"part": _without_value(b["part"], name, old)} for b in branches]
        changed.append(table)
    return changed
