"""Output common to all answers: plain tables, JSON, an HTML view for notebooks."""

import importlib
import math
from dataclasses import fields, is_dataclass
from typing import Any


class Answer:
    """An answer in SI units and degrees Celsius; a subclass defines its tables."""

    def to_dict(self) -> dict[str, Any]:
        """Plain dicts, lists, strings and numbers; None for no number."""
        raise NotImplementedError

    def to_json(self, indent: int | None = 2) -> str:
        """`to_dict` as JSON text without NaN or infinity."""
        import json

        return json.dumps(self.to_dict(), indent=indent, allow_nan=False)

    def _repr_html_(self) -> str:
        # The notebook module is several layers above this one: import it only in a notebook.
        return str(importlib.import_module("loop.notebook").shown(self))


def plain(value: Any) -> Any:
    """Records and their contents as dicts, lists, strings and numbers; None for no number.

    >>> plain({"flow": (1.0, float("nan"))})
    {'flow': [1.0, None]}
    """
    if isinstance(value, float):  # the most common; JSON has no NaN or infinity
        return value if abs(value) < math.inf else None
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if is_dataclass(value):
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    return value


def table_of(printed: type[Any], result: object, **own: Any) -> dict[str, Any]:
    """The keys of the table type `printed` as plain values, from `own` or else from `result`."""
    return {
        key: plain(own[key] if key in own else getattr(result, key))
        for key in printed.__annotations__
    }
