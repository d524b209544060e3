"""What every answer can say of itself: plain tables, JSON, a picture in a notebook."""

import importlib
import math
from dataclasses import fields, is_dataclass
from typing import Any


class Answer:
    """An answer in SI units and degrees Celsius; a subclass says what its tables are."""

    def to_dict(self) -> dict[str, Any]:
        """Plain dicts, lists, texts and numbers; None for no number."""
        raise NotImplementedError

    def to_json(self, indent: int | None = 2) -> str:
        """`to_dict` as JSON text, which has no NaN or infinity in it."""
        import json

        return json.dumps(self.to_dict(), indent=indent, allow_nan=False)

    def _repr_html_(self) -> str:
        # Pictures are made floors above this one; only a notebook asks for them.
        return str(importlib.import_module("loop.notebook").shown(self))


def plain(value: Any) -> Any:
    """Records and what they hold as dicts, lists, texts and numbers; None for no number.

    >>> plain({"flow": (1.0, float("nan"))})
    {'flow': [1.0, None]}
    """
    if isinstance(value, float):  # the commonest; JSON has no NaN and no infinity
        return value if abs(value) < math.inf else None
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if is_dataclass(value):
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    return value


def table_of(printed: type[Any], result: object, **own: Any) -> dict[str, Any]:
    """The keys of the table `printed`, plain: as `own` gives them, the others as `result` does."""
    return {
        key: plain(own[key] if key in own else getattr(result, key))
        for key in printed.__annotations__
    }
