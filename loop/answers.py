"""What every answer can say of itself: plain tables, JSON, a picture in a notebook."""

import importlib
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
