"""A job as the text of a job file, with units, that reads back to the same job."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from loop.job.defaults import Defaults, keys_from_defaults
from loop.job.field_text import field_text, model_table
from loop.job.model import Job
from loop.job.takes_job import takes_job
from loop.parts import Manifold, Part
from loop.units import System, check_system
from loop.whole_file import put_whole

# Keys whose lists of tables get a header line each, as a person writes them.
_ARRAY_KEYS = ("condenser", "part", "branch", "stage", "visit")


def to_toml(job: Job, units: System | None = None) -> str:
    """The text of a job file of this job, in its own system of units or in `units`.

    When read back, every number is the same to 15 digits. Catalogue pumps are written by name,
    others with their whole curve, so that the file needs no other file. Values that a part takes
    from the defaults are omitted. Raises UnitError for units other than "us" and "si".
    """
    import tomlkit

    check_system(units)
    system = units or job.units
    document = tomlkit.document()
    for name in Job.model_fields:
        value: Any = system if name == "units" else getattr(job, name)
        if value is None or (name not in ("title", "units") and value == _default(name)):
            continue
        if name == "part":
            document[name] = _array_of_tables([_part(one, job.defaults, system) for one in value])
        elif name in _ARRAY_KEYS:
            document[name] = _array_of_tables([model_table(one, system) for one in value])
        else:
            written = field_text(Job, name, value, system)
            document[name] = _table(written) if isinstance(written, Mapping) else written
    return re.sub(r"\n{3,}", "\n\n", tomlkit.dumps(document)).strip() + "\n"


@takes_job
def write_job(job: Job, path: str | Path, units: System | None = None) -> None:
    """Write ``job.to_toml(units)`` to a file, atomically; an existing file is replaced.

    Raises OSError if the file cannot be written.
    """
    put_whole(Path(path), to_toml(job, units).encode())


def _default(name: str) -> Any:
    return Job.model_fields[name].get_default()


def _part(part: Part, defaults: Defaults, system: System) -> dict[str, Any]:
    """A part's table without the values that it takes from the job's defaults."""
    omitted = keys_from_defaults(part, defaults)
    table = {k: v for k, v in model_table(part, system).items() if k not in (*omitted, "branch")}
    if isinstance(part, Manifold):
        table["branch"] = [
            {"name": branch.name, "part": [_part(one, defaults, system) for one in branch.part]}
            for branch in part.branch
        ]
    return table


def _array_of_tables(tables: list[dict[str, Any]]) -> Any:
    import tomlkit

    array = tomlkit.aot()
    for table in tables:
        array.append(_table(table))
    return array


def _table(values: Mapping[str, Any]) -> Any:
    """A table with its plain keys first, then the tables with headers."""
    import tomlkit

    table = tomlkit.table()
    arrays = {name: value for name, value in values.items() if _is_array_of_tables(name, value)}
    for name, value in values.items():
        if name not in arrays:
            table[name] = inline(value)
    table.add(tomlkit.nl())
    for name, value in arrays.items():
        table[name] = _array_of_tables(value)
    return table


def _is_array_of_tables(name: str, value: Any) -> bool:
    return (
        name in _ARRAY_KEYS and isinstance(value, list) and all(isinstance(v, dict) for v in value)
    )


def inline(value: Any) -> Any:
    """A value on one line: lists in brackets, tables in braces."""
    import tomlkit

    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for key, item in value.items():
            table[key] = inline(item)
        return table
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        for item in value:
            array.append(inline(item))
        return array
    return value
