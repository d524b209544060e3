"""JSON Schema of a readings file, for editors that check and complete it."""

from typing import Any

from loop.diagnose.faults import BY_NAME
from loop.diagnose.reading_kinds import KINDS, TOOLS, ReadingKind
from loop.diagnose.statements import ALSO, BY_TEXT
from loop.diagnose.weights import LARGEST_WEIGHT
from loop.units.definitions import KINDS as UNITS

_TEXT = {"type": "string"}


def readings_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a readings file: names as in files, all of them optional."""
    readings = {kind.name: _reading(kind) for kind in KINDS.values()}
    readings["bucket"] = _of_units(
        _TEXT | {"description": 'a bucket and its time, such as "1 gal in 24 s"'}
    )
    under_way = _table(readings)
    step = _table({"did": _TEXT, "saw": _TEXT, **readings, "under_way": under_way})
    whole = _table(
        {
            "date": _TEXT | {"description": "such as 2025-06-30"},
            "note": _TEXT,
            "said": _one_or_several({"enum": [*BY_TEXT, *ALSO]}),
            "tools": {"anyOf": [_TEXT, {"type": "array", "items": {"enum": [*TOOLS]}}]},
            "prior": {
                "type": "object",
                "description": f"weights of faults: {', '.join(BY_NAME)}",
                "additionalProperties": {
                    "type": "number",
                    "minimum": 0,
                    "maximum": LARGEST_WEIGHT,
                },
            },
            **readings,
            "under_way": under_way,
            "step": {"type": "array", "items": step},
        }
    )
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **whole}


def _reading(kind: ReadingKind) -> dict[str, Any]:
    if kind.kind is None:
        one: dict[str, Any] = {"enum": [*kind.choices, *(word for word, _ in kind.also)]}
    else:
        named = kind.kind.replace("_", " ")
        one = _TEXT | {"description": f"{named} with its unit ({UNITS[kind.kind][1]})"}
    return _of_units(one) if kind.per_unit else one


def _of_units(one: dict[str, Any]) -> dict[str, Any]:
    """A reading of the loop, or a table of one for each unit."""
    return {"anyOf": [one, {"type": "object", "additionalProperties": one}]}


def _one_or_several(one: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [one, {"type": "array", "items": one}]}


def _table(properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "additionalProperties": False}
