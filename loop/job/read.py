"""Read a job file as a `Job`, or report all its mistakes at once."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from loop.job.model import Job
from loop.job.partial_checks import PART_CLASSES, hidden_problems
from loop.mistakes import JobError, most_like, once, why
from loop.parts import Branch
from loop.parts.hose import Via
from loop.tomlfile import read_text, tables
from loop.units.fields import hints
from loop.wrong import wrong

# Mistakes beyond this number are only counted: they have one cause.
_MAX_LISTED = 200


def read_toml(path: str | Path, what: str = "job") -> dict[str, Any]:
    """Tables of a TOML file; raises JobError if the file is missing or not TOML."""
    return _tables(file_text(path, what), str(path), what)


def file_text(path: str | Path, what: str, name: str | None = None) -> str:
    """Text of a file; raises JobError, which calls the file `name`, if it cannot be read.

    `what` is the expected content, such as "job", for the message.
    """
    path, name = Path(path), name or str(path)
    try:
        return read_text(path, what)
    except FileNotFoundError:
        raise JobError([wrong("file-missing", file=name, nearby=_similar_file(path))]) from None
    except OSError as error:
        raise JobError([wrong("file-not-read", file=name, why=error.strerror or error)]) from None
    except ValueError as error:
        raise JobError([f"{name}: {error}"]) from None


# Message rows that say what an empty file should contain.
_EMPTY_FILE_ROWS = {"job": "file-empty-job", "readings": "file-empty-readings"}


def _tables(text: str, name: str, what: str) -> dict[str, Any]:
    try:
        data = tables(text, what)
    except ValueError as error:
        raise JobError([f"{name}: {error}"]) from None
    if not data:
        instead = wrong(_EMPTY_FILE_ROWS.get(what, "file-empty-other"), what=what)
        raise JobError([wrong("file-empty", file=name, instead=instead)])
    return data


def parse_toml(text: str, name: str = "job", folder: str | Path = ".") -> Job:
    """The job in a text; `name` precedes each mistake. Raises JobError like `read_job`."""
    return parse_job(_tables(text, name, "job"), name, folder)


def read_job(path: str | Path) -> Job:
    """The job in a TOML file.

    Raises JobError, whose message lists every mistake, one per line.
    """
    path = Path(path)
    return parse_job(read_toml(path), str(path), path.parent)


def parse_job(data: dict[str, Any], name: str = "job", folder: str | Path = ".") -> Job:
    """The job in tables already read; `name` precedes each mistake.

    Quantities are text with units, as in a file; the ``job`` of a result, in SI units and °C
    without units, is read by ``loop.Job.model_validate``. Relative paths of pump files start at
    `folder`. Raises JobError like `read_job`.
    """
    if not {"part", "condenser"} & set(data) and set(data) - set(Job.model_fields):
        raise JobError(
            [wrong("file-is-pump" if "curve" in data else "file-is-readings", file=name)]
        )
    return checked(data, {"text": True, "folder": str(folder)}, name)


def checked(data: dict[str, Any], context: dict[str, Any], name: str) -> Job:
    """The job in tables of text or, without ``text`` in `context`, of SI numbers and parts.

    Raises JobError like `read_job`.
    """
    try:
        return Job.model_validate(data, context=context)
    except ValidationError as error:
        lines = list(dict.fromkeys([*_lines(error, data), *_hidden_problems(error, data, context)]))
        if len(lines) > _MAX_LISTED:
            lines[_MAX_LISTED:] = [wrong("more-mistakes", count=len(lines) - _MAX_LISTED)]
        raise JobError([f"{name}: {line}" for line in lines]) from None
    except RecursionError:
        raise JobError([f"{name}: {wrong('file-deep', what='job')}"]) from None


def _lines(error: ValidationError, data: dict[str, Any]) -> Iterator[str]:
    for item in once(error.errors(), lambda item: _location(item["loc"], data)[1]):
        if item["type"] == "layout":
            yield from item["ctx"]["lines"].splitlines()
            continue
        where, known = _location(item["loc"], data)
        for words in why(item, known).splitlines():
            key, colon, rest = words.partition(": ")
            place, words = (f"{where} {key}", rest) if colon and key in known else (where, words)
            yield f"{place}: {words}" if place else words


def _hidden_problems(
    error: ValidationError, data: dict[str, Any], context: dict[str, Any]
) -> Iterator[str]:
    """Mistakes that pydantic does not reach while fields are wrong."""
    if not any(item["type"] == "layout" for item in error.errors()):
        yield from (f"{where}: {why}" for where, why in hidden_problems(data, context))


def _location(loc: tuple[int | str, ...], data: Any) -> tuple[str, Iterable[str]]:
    """Place of an error in words, and the valid keys there."""
    words: list[str] = []
    model: type[BaseModel] | None = Job
    table: Any = data
    for step in loc:
        if isinstance(step, int):
            table = table[step] if isinstance(table, list | tuple) and step < len(table) else None
            label = _kind_or_name(table)
            named = isinstance(label, str) and label
            words.append(f"{step + 1} ({label})" if named else f"{step + 1}")
            continue
        if step in PART_CLASSES and _kind_or_name(table) == step:
            model = PART_CLASSES[step]
            continue
        words.append(step)
        table = table.get(step) if isinstance(table, dict) else getattr(table, step, None)
        model = _model_of(model, step) or model
    return " ".join(words), model.model_fields if model else ()


def _kind_or_name(table: Any) -> Any:
    """Kind of a part, or name of a unit or branch, from its table or its model."""
    if isinstance(table, dict):
        return table.get("kind", table.get("name"))
    return getattr(table, "kind", getattr(table, "name", None))


def _model_of(model: type[BaseModel] | None, field: str) -> type[BaseModel] | None:
    """Model class of a field, through tuples, unions and annotations."""
    if field == "branch":
        return Branch
    if field == "via":
        return Via
    info = model.model_fields.get(field) if model else None
    types = [] if info is None else hints(info)
    found = next((h for h in types if isinstance(h, type) and issubclass(h, BaseModel)), None)
    return None if found in PART_CLASSES.values() else found


def _similar_file(path: Path) -> str:
    try:
        # Exclude the path itself, which may be a broken link.
        others = {p.stem: p for p in path.parent.glob("*.toml") if p.name != path.name}
    except OSError:
        return ""
    near = most_like(path.stem, others, 0.6)
    return wrong("file-nearby", path=str(others[near])) if near else ""
