"""A job file → a `Job`, or every mistake in it at once."""

import difflib
import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, TypeAdapter, ValidationError

from loop.job.layout import all_parts, layout_problems
from loop.job.model import Job, usable_defaults, with_defaults
from loop.mistakes import once, why
from loop.parts import (
    AnyPart,
    Branch,
    Condenser,
    Discharge,
    Hose,
    Intake,
    Manifold,
    Part,
    Pump,
    Tee,
)
from loop.parts.hose import Via
from loop.tomlfile import read_text, tables

# More mistakes than this are counted, not told: they have one cause.
_MOST_TOLD = 200


class JobError(ValueError):
    """Mistakes in a file that a user wrote: one line each in `problems`.

    Each line names the file, the place, what is wrong and what would be right.
    """

    def __init__(self, problems: list[str]) -> None:
        self.problems = problems
        super().__init__("\n".join(problems))


def read_toml(path: str | Path, what: str = "job") -> dict[str, Any]:
    """The tables of a TOML file; raises JobError where there is no such file or it is not TOML."""
    path = Path(path)
    try:
        text = read_text(path, what)
    except FileNotFoundError:
        raise JobError([f"{path}: no such file{_nearby(path)}"]) from None
    except OSError as error:
        raise JobError([f"{path}: cannot be read: {error.strerror or error}"]) from None
    except ValueError as error:
        raise JobError([f"{path}: {error}"]) from None
    return _tables(text, str(path), what)


def _tables(text: str, name: str, what: str) -> dict[str, Any]:
    try:
        data = tables(text, what)
    except ValueError as error:
        raise JobError([f"{name}: {error}"]) from None
    if not data:
        raise JobError([f"{name}: is empty; `loop new` writes a job to start from"])
    return data


def parse_toml(text: str, name: str = "job", folder: str | Path = ".") -> Job:
    """The job in a text; `name` goes before each mistake. Raises JobError as `read_job` does."""
    return parse_job(_tables(text, name, "job"), name, folder)


def read_job(path: str | Path) -> Job:
    """The job in a TOML file.

    Raises JobError, whose text lists every mistake, a line each.
    """
    path = Path(path)
    return parse_job(read_toml(path), str(path), path.parent)


def parse_job(data: dict[str, Any], name: str = "job", folder: str | Path = ".") -> Job:
    """The job in tables already read; `name` goes before each mistake.

    Relative paths of pump files start at `folder`. Raises JobError as `read_job` does.
    """
    context = {"text": True, "folder": str(folder)}
    try:
        return Job.model_validate(data, context=context)
    except ValidationError as error:
        lines = list(dict.fromkeys(_lines(error, data)))
        if not any(item["type"] == "layout" for item in error.errors()):
            lines += [f"{where}: {why}" for where, why in _layout_despite(data, context)]
        if len(lines) > _MOST_TOLD:
            lines[_MOST_TOLD:] = [f"and {len(lines) - _MOST_TOLD} more mistakes"]
        raise JobError([f"{name}: {line}" for line in lines]) from None
    except RecursionError:
        raise JobError([f"{name}: nested too deeply to be a job file"]) from None


def _lines(error: ValidationError, data: dict[str, Any]) -> Iterator[str]:
    for item in once(error.errors(), lambda item: _where(item["loc"], data)[1]):
        if item["type"] == "too_short" and len(item["input"]) >= item["ctx"]["min_length"]:
            continue  # long enough as written; the library counts only the items that are right
        if item["type"] == "layout":
            yield from item["ctx"]["lines"].splitlines()
            continue
        where, known = _where(item["loc"], data)
        for words in why(item, known).splitlines():
            key, colon, rest = words.partition(": ")
            place, words = (f"{where} {key}", rest) if colon and key in known else (where, words)
            yield f"{place}: {words}" if place else words


def _where(loc: tuple[int | str, ...], data: Any) -> tuple[str, Iterable[str]]:
    """Place of an error in words, and the keys that are known there."""
    words: list[str] = []
    model: type[BaseModel] | None = Job
    at: Any = data
    for step in loc:
        if isinstance(step, int):
            at = at[step] if isinstance(at, list) and step < len(at) else None
            label = at.get("kind", at.get("name")) if isinstance(at, dict) else None
            named = isinstance(label, str) and label
            words.append(f"{step + 1} ({label})" if named else f"{step + 1}")
            continue
        classes = {_kind(part): part for part in _part_classes()}
        if step in classes and isinstance(at, dict) and at.get("kind") == step:
            model = classes[step]
            continue
        words.append(step)
        at = at.get(step) if isinstance(at, dict) else None
        model = _model_of(model, step) or model
    return " ".join(words), model.model_fields if model else ()


def _model_of(model: type[BaseModel] | None, field: str) -> type[BaseModel] | None:
    """The model class of a field, through tuples, unions and annotations."""
    if field == "branch":
        return Branch
    if field == "via":
        return Via
    info = model.model_fields.get(field) if model else None
    queue = [info.annotation] if info else []
    while queue:
        annotation = queue.pop()
        if isinstance(annotation, type) and issubclass(annotation, BaseModel):
            return annotation if annotation not in _part_classes() else None
        queue += get_args(annotation)
    return None


def _part_classes() -> tuple[type[Part], ...]:
    return get_args(get_args(AnyPart)[0])


def _kind(part: type[Part]) -> str:
    return str(part.model_fields["kind"].default)


def _layout_despite(data: dict[str, Any], context: dict[str, Any]) -> list[tuple[str, str]]:
    """Mistakes between parts, as far as they can be told while fields are wrong."""
    raw_parts, raw_units = data.get("part"), data.get("condenser")
    if not isinstance(raw_parts, list) or not raw_parts:
        return _ends_by_kind(raw_parts)
    defaults = usable_defaults(data.get("defaults"), context)
    parts = [_part(with_defaults(part, defaults), context) for part in raw_parts]
    every = list(all_parts(parts))
    if any(isinstance(part, Manifold) and not part.branch for part in every):
        return _ends_by_kind(raw_parts)
    names = [
        unit.get("name") if isinstance(unit, dict) else None
        for unit in (raw_units if isinstance(raw_units, list) else [None])
    ]
    served = [part.serves for part in every if isinstance(part, Condenser)]
    known = all(isinstance(name, str) and name for name in [*names, *served])
    return layout_problems(parts, [str(name) for name in names] if known else None)


def _part(raw: Any, context: dict[str, Any]) -> Part:
    """A part, or a stand-in of the kind that was meant where its fields are wrong.

    A stand-in's heights are not numbers: no comparison with them holds, so nothing is said of them.
    """
    adapter: TypeAdapter[Part] = TypeAdapter(AnyPart)
    try:
        return adapter.validate_python(raw, context=context)
    except ValidationError:
        table = raw if isinstance(raw, dict) else {}
    kind = str(table.get("kind"))
    stand_ins: dict[str, tuple[type[Part], dict[str, Any]]] = {
        "intake": (Intake, {"height": math.nan}),
        "hose": (Hose, {"length": math.inf, "to": math.nan}),
        "discharge": (Discharge, {"height": math.nan}),
        "pump": (Pump, {}),
        "condenser": (Condenser, {"serves": table.get("serves")}),
        "manifold": (Manifold, {"branch": _branches(table.get("branch"), context)}),
    }
    model, values = stand_ins.get(kind, (Tee, {"kind": kind}))
    return model.model_construct(bore=1.0, **values)


def _branches(raw: Any, context: dict[str, Any]) -> tuple[Branch, ...]:
    """A manifold's branches with stand-ins among their parts; none where one cannot be told.

    That is a branch without a name or parts, or whose last part, which says whether it ends
    overboard, is of no kind.
    """
    kinds = {_kind(part) for part in _part_classes()}
    ways: list[Branch] = []
    for way in raw if isinstance(raw, list) else ():
        table = way if isinstance(way, dict) else {}
        name, parts = table.get("name"), table.get("part")
        last = parts[-1] if isinstance(parts, list) and parts else None
        if not (isinstance(name, str) and name and isinstance(last, dict)):
            return ()
        if str(last.get("kind")) not in kinds:
            return ()
        stand_ins: Any = tuple(_part(part, context) for part in parts or ())
        ways.append(Branch.model_construct(name=name, part=stand_ins))
    return tuple(ways)


def _ends_by_kind(raw_parts: Any) -> list[tuple[str, str]]:
    """What the kinds alone tell: too many pumps or none, no intake, no discharge."""
    if not isinstance(raw_parts, list):
        return []
    kinds = [part.get("kind") if isinstance(part, dict) else None for part in raw_parts]
    problems = []
    if "pump" not in kinds:
        problems.append(("parts", 'no pump; add a part of kind "pump"'))
    if kinds.count("pump") > 1:
        problems.append(("parts", f"{kinds.count('pump')} pumps in one line; there can be one"))
    if "intake" not in kinds:
        problems.append(("parts", 'no intake; the first part must be of kind "intake"'))
    if kinds and kinds[-1] not in ("discharge", "manifold"):
        problems.append(("parts", 'the last part must be of kind "discharge"'))
    return problems


def _nearby(path: Path) -> str:
    try:
        there = {p.stem: p for p in path.parent.glob("*.toml")}
    except OSError:
        return ""
    near = difflib.get_close_matches(path.stem, there, n=1)
    return f"; did you mean {str(there[near[0]])!r}?" if near else ""
