"""The catalogue that ships with the program, users' pump files, and pump references in jobs."""

import difflib
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import ValidationError, ValidationInfo
from pydantic_core import PydanticCustomError

from loop.catalogue import catalogue, catalogue_name, folder
from loop.mistakes import JobError, lines
from loop.pumps.curve import PumpCurve
from loop.pumps.nameplate import Nameplate
from loop.pumps.points import Curve, Series
from loop.tomlfile import read_text, tables
from loop.wrong import refused, wrong


class UnknownPumpError(LookupError):
    """No such pump in the catalogue; the message lists the closest names."""


@cache
def load_pump(name: str) -> PumpCurve:
    """A pump of the catalogue, by its name in any case.

    Raises UnknownPumpError for an unknown name.

    >>> load_pump("demo-ac-350").drive
    'ac'
    """
    canonical = catalogue_name(name)
    if canonical not in catalogue():
        near = (
            difflib.get_close_matches(canonical.lower(), catalogue(), n=3, cutoff=0.3)
            or catalogue()[:3]
        )
        raise UnknownPumpError(wrong("pump-none", name=name, near=", ".join(near)))
    return _read(folder() / f"{canonical}.toml")


def in_catalogue(curve: PumpCurve) -> bool:
    """Whether a pump equals the catalogue pump of its name."""
    return curve.name in catalogue() and load_pump(curve.name) == curve


def read_pump(path: str | Path) -> PumpCurve:
    """A pump from a file.

    Raises JobError if it cannot be read or its content is wrong, with every mistake.
    """
    try:
        return _read(path)
    except OSError as error:
        why = error.strerror or error
        raise JobError([wrong("file-not-read", file=str(path), why=why)]) from None
    except ValueError as error:
        raise JobError([f"{path}: {line}" for line in pump_problems(error)]) from None


def _read(path: str | Path) -> PumpCurve:
    data = tables(read_text(path, "pump"), "pump")
    return PumpCurve.model_validate(data, context={"text": True})


def pump_by_reference(value: Any, info: ValidationInfo) -> Any:
    """PumpCurve named in a job: a catalogue name, a path relative to the job file, or its tables.

    A path ends in ``.toml``. Used as a pydantic validator; its errors are pydantic custom errors.
    """
    if isinstance(value, PumpCurve):
        return value
    if isinstance(value, dict):
        try:
            return PumpCurve.model_validate(value, context=info.context)
        except ValidationError as error:
            why = "\n".join(pump_problems(error))
            raise PydanticCustomError("pump", "{why}", {"why": why}) from None
    if not isinstance(value, str):
        raise refused("pump", "pump-by-text")
    try:
        if not value.lower().endswith(".toml"):
            return load_pump(value)
        return _read(Path((info.context or {}).get("folder", ".")) / value)
    except UnknownPumpError as error:
        why = str(error.args[0])
    except OSError as error:
        why = wrong("pump-not-read", file=value, why=error.strerror or error)
    except ValueError as error:
        lines = (wrong("pump-file", file=value, problem=line) for line in pump_problems(error))
        why = "\n".join(lines)
    raise PydanticCustomError("pump", "{why}", {"why": why})


def pump_problems(error: ValueError) -> list[str]:
    """Messages about a pump file, from the error raised on reading it."""
    if isinstance(error, ValidationError):
        return lines(error, _valid_keys)
    return [str(error)]


def _valid_keys(item: Mapping[str, Any]) -> Iterable[str]:
    """Valid keys of the table in which an error is."""
    steps = item["loc"]
    if steps and steps[0] == "curve":
        if len(steps) < 3:
            return Curve.model_fields
        return (Nameplate if steps[1] == "nameplate" else Series).model_fields
    return PumpCurve.model_fields
