"""The same edits on the text of a job file; comments, order and line ends are preserved."""

import copy
from collections.abc import Iterable, Mapping
from typing import Any

from loop.job.address import Path
from loop.job.as_toml import inline
from loop.job.edit import Edit, Insert, Put, Remove, edit, ordered_steps
from loop.job.field_text import field_text
from loop.job.model import Job, Unit
from loop.job.partial_checks import PART_CLASSES
from loop.job.read import parse_toml
from loop.tomlfile import unmarked


def edit_text(text: str, edits: Iterable[Edit], folder: str = ".") -> str:
    """Text of a job file with these changes; numbers are written in the job's units.

    Comments, order, a byte-order mark and line ends are preserved. Relative paths of pump files
    start at `folder`. Raises JobError if the text is not a job, an address is unknown, or the
    changed text is not a job.
    """
    import tomlkit

    plain, restore = unmarked(text)
    job = parse_toml(plain, "job", folder)
    steps = ordered_steps(job, edits)
    if not steps:
        return text
    # To report mistakes before the text is changed.
    edit(job, (_unwrapped(step) for _, step in steps), folder)
    document = tomlkit.parse(plain)
    for path, step in steps:
        _apply(document, job, path, step)
    changed = tomlkit.dumps(document)
    parse_toml(changed, "change", folder)
    return restore(changed)


def _apply(document: Any, job: Job, path: Path, step: Edit) -> None:
    table: Any = document
    model: Any = job
    holder = model
    for key in path[:-1]:
        holder = model
        model = model[key] if isinstance(key, int) else getattr(model, key)
        if isinstance(key, str) and key not in table:
            table[key] = {}
        table = table[key]
    last = path[-1]
    if isinstance(step, Remove):
        del table[last]
    elif isinstance(step, Insert):
        table.insert(last, _as_table(step.part, job))
    elif step.value is None:
        table.pop(last, None)
        _unmark_guess(table, last)
    else:
        value = _value(step, model if isinstance(last, str) else holder, path, job)
        table[last] = inline(value) if isinstance(value, list) else value
        _unmark_guess(table, last)


def _unmark_guess(table: Any, key: str | int) -> None:
    """Remove a key from those that its table marks as guesses, and the list once it is empty."""
    marked = table.get("guessed", []) if isinstance(key, str) else []
    if key in marked:
        marked.remove(key)
        if not marked:
            del table["guessed"]


def _unwrapped(step: Edit) -> Edit:
    """An edit without TOML library tables."""
    unwrap = getattr(step.part, "unwrap", None) if isinstance(step, Insert) else None
    return Insert(step.address, unwrap()) if unwrap else step


def _as_table(part: Mapping[str, Any], job: Job) -> Any:
    """A part, a branch or a unit as a TOML table; one from a file keeps its comments."""
    import tomlkit
    from tomlkit.items import Table

    if isinstance(part, Table):
        return copy.deepcopy(part)
    table = tomlkit.table()
    model = PART_CLASSES.get(str(part.get("kind")), Unit)
    inner = [name for name in ("branch", "part") if name in part]
    for name in part:
        if name not in inner:
            value = field_text(model, name, part[name], job.units)
            table[name] = inline(value) if isinstance(value, list) else value
    table.add(tomlkit.nl())
    for name in inner:
        table[name] = tomlkit.aot()
        for one in part[name]:
            table[name].append(_as_table(one, job))
    return table


def _value(step: Put, holder: Any, path: Path, job: Job) -> Any:
    """A value as written in a file; an item of a list in the form of its list."""
    *_, before, last = ("", *path)
    if isinstance(last, str):
        return field_text(type(holder), last, step.value, job.units)
    return field_text(type(holder), str(before), [step.value], job.units)[0]
