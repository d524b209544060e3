"""The inputs of a sheet as TOML that reads back, one line per part to print compactly."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from loop.job import Job
from loop.job.electrical import Draw
from loop.pumps import PumpCurve, catalogue, in_catalogue
from loop.sheet.content import Inputs
from loop.units.definitions import KINDS
from loop.units.fields import Quantity, hints
from loop.units.stated import Rating

_DIGEST = 12
# Twelve digits: far more than any input has, but short of conversion noise.
_DIGITS = ".12g"
# Indent from which lists of tables stay on one line.
_DEEP = 4


def inputs(job: Job, source: Mapping[str, Any] | None = None) -> Inputs:
    """The inputs of a job and of its pump.

    Parameters
    ----------
    job : Job
    source : mapping, optional
        The tables of the job's own file, which keep its units; without them the job is written
        in SI units.

    Returns
    -------
    Inputs
        Texts that `loop.job.parse_job` and `loop.pumps.read_pump` read back, and their fingerprint.
    """
    text = as_toml(source if source is not None else tables(job))
    curve = job.pump.curve
    pump = as_toml(tables(curve))
    digest = hashlib.sha256(f"{text}\0{pump}".encode()).hexdigest()
    return Inputs(job=text, pump="" if in_catalogue(curve) else pump, digest=digest[:_DIGEST])


def tables(model: BaseModel) -> dict[str, Any]:
    """Tables of a job or pump as its file would hold them, in SI units; only fields that were set.

    The job's defaults appear in the parts that take them, not as a table of their own.
    """
    found = {}
    for name, field in type(model).model_fields.items():
        value = getattr(model, name)
        asked = name in model.model_fields_set or isinstance(value, BaseModel) or name == "kind"
        if value is None or not asked or name == "defaults":
            continue
        kind = next((one.kind for one in hints(field) if isinstance(one, Quantity)), None)
        plain = _plain(value, kind)
        if plain not in ({}, [], ""):
            found[name] = plain
    return found


def _plain(value: Any, kind: str | None) -> Any:
    if isinstance(value, PumpCurve):
        return value.name if value.name in catalogue() else f"{value.name}.toml"
    if isinstance(value, BaseModel):
        return tables(value)
    if isinstance(value, Draw):
        return f"{value.power:{_DIGITS}} W at {value.condensing:{_DIGITS}} degC"
    if isinstance(value, Rating):
        return f"{value.drop:{_DIGITS}} Pa at {value.flow:{_DIGITS}} m^3/s"
    if isinstance(value, tuple | list):
        return [_plain(item, kind) for item in value]
    if isinstance(value, dict):
        return {_plain(key, kind): item for key, item in value.items()}
    if isinstance(value, float) and kind == "ratio":
        return f"{100 * value:{_DIGITS}} %"
    if isinstance(value, float) and kind is not None:
        return f"{value:{_DIGITS}} {KINDS[kind][0].replace('**', '^')}"
    return value


def as_toml(data: Mapping[str, Any]) -> str:
    """Tables as TOML text, one line each; a list of tables has one line per table.

    Lists two levels down, such as the parts of a branch, stay on their table's line.

    >>> print(as_toml({"title": "A", "part": [{"kind": "bleed"}, {"kind": "tee"}]}))
    title = "A"
    part = [
      {kind="bleed"},
      {kind="tee"},
    ]
    """
    return "\n".join(f"{_key(key)} = {_value(value, '')}" for key, value in data.items())


def _value(value: Any, indent: str) -> str:
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{_key(key)}={_value(item, indent)}" for key, item in value.items())
        return f"{{{pairs}}}"
    if isinstance(value, list | tuple):
        return "".join(_list(value, indent))
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:{_DIGITS}}" if isinstance(value, float) else str(value)


def _list(values: Any, indent: str) -> Iterator[str]:
    if not any(isinstance(item, Mapping) for item in values):
        yield f"[{', '.join(_value(item, indent) for item in values)}]"
        return
    if len(values) == 1:
        yield f"[{_value(values[0], indent)}]"
        return
    if len(indent) >= _DEEP:
        yield f"[{', '.join(_value(item, indent) for item in values)}]"
        return
    inner = f"{indent}  "
    yield "[\n"
    for item in values:
        yield f"{inner}{_value(item, inner)},\n"
    yield f"{indent}]"


def _key(key: str) -> str:
    plain = key.replace("-", "").replace("_", "")
    return key if plain.isascii() and plain.isalnum() else json.dumps(key, ensure_ascii=False)
